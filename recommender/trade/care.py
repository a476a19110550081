"""What is done to keep a machine in order."""

NEEDLE_CHANGED = "needle changed"
"""The deed from which the hours and the swatches of a needle are counted."""

SERVICED = "serviced"
"""The deed after which a machine may behave otherwise than before: its dials were seen to."""

MENDING = {
    NEEDLE_CHANGED: "the needle was changed",
    "knife changed": "the knife was changed",
    "cleaned": "it was cleaned",
    "thread path checked": "its thread path was checked",
}
"""Deeds that can mend a drift, as `data/upkeep.toml` sends people to look for them, each as it is told; common practice, no source."""

DEEDS = (NEEDLE_CHANGED, "knife changed", "cleaned", "oiled", "thread path checked", SERVICED, "other")
"""Everything that the care log knows, in the order in which a list shows it."""
