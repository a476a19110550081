"""What is done to keep a machine in order."""

NEEDLE_CHANGED = "needle changed"
"""The deed from which the hours and the swatches of a needle are counted."""

SERVICED = "serviced"
"""The deed after which a machine may behave otherwise than before: its dials were seen to."""

MENDING = {
    NEEDLE_CHANGED: "the needle was changed",
    "cleaned": "it was cleaned",
    "thread path checked": "its thread path was checked",
}
"""Deeds that can mend a drift, the ones that `data/upkeep.toml` asks for short of a service, each as it is told; common practice, no
source. A knife that is changed or a machine that is oiled does nothing to a tension disc or to the feed."""

DEEDS = (NEEDLE_CHANGED, "knife changed", "cleaned", "oiled", "thread path checked", SERVICED, "other")
"""Everything that the care log knows, in the order in which a list shows it."""
