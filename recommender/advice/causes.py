"""The causes of a reading in a sewer's words, and which swatches stand behind each: the one place for both."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from operator import attrgetter
from types import MappingProxyType

from recommender.advice.levers import LEVERS
from recommender.advice.model import same_cloth
from recommender.advice.seam import Seam
from recommender.advice.terms import Column
from recommender.swatches.trial import Trial
from recommender.trade.thread import ORDINARY

OWN_NATURE = "the cloth's own nature"
"""What no property of the cloth explains, over the log."""
OWN_SWATCHES = "this cloth's own swatches"
"""The same for one cloth, as its own swatches have shown it."""
CAUTION = "holding back where unsure"
"""A control whose pull is not well known is moved less."""
REST = "rounding to dial steps, few moves"
"""What is left: settings on the machine's steps, inside its ranges, and controls that stay where they stood."""
ALL_ALIKE = "all seams alike"
"""What is the same whatever is sewn."""

MACHINE = "machine"
"""How this machine differs from others."""

_USUAL_LAYERS = 2

_CONTROLS: Mapping[str, str] = MappingProxyType(
    {lever: f"{lever} tension" for lever in ("upper looper", "lower looper")}
    | dict.fromkeys(("needles", "needle difference"), "needle tension")
    | {"differential": "differential feed", "length": "stitch length", "width": "cutting width", "foot pressure": "foot pressure"}
)
_PROPERTIES: Mapping[str, str] = MappingProxyType(
    {
        "setting out": ALL_ALIKE,
        "construction": "woven, knit or nonwoven",
        "weight": "cloth weight",
        "stretch": "stretch across",
        "fibre": "fibre of the cloth",
        "thickness": "cloth thickness",
        "plies": "number of layers",
        "grain": "lengthwise, crosswise or bias",
    }
)
"""The words for a property of `Column`, where its own name would not do."""

_Count = Callable[[Sequence[Trial], Seam], int]


def _same(of_trial: str, of_seam: str = "") -> _Count:
    """Count those that have the same choice as the seam."""
    mine, theirs = attrgetter(of_trial), attrgetter(of_seam or of_trial)
    return lambda telling, here: [mine(trial) for trial in telling].count(theirs(here))


def _apart(of_trial: str, usual: object) -> _Count:
    """Count those whose number is not the usual one."""
    mine = attrgetter(of_trial)
    return lambda telling, _: len(telling) - [mine(trial) for trial in telling].count(usual)


_BEHIND: Mapping[str, _Count] = MappingProxyType(
    {
        "woven, knit or nonwoven": _same("fabric.construction"),
        "fibre of the cloth": _same("fabric.fibre"),
        "lengthwise, crosswise or bias": _same("fabric.grain"),
        "needle thread kind": _same("needle_thread.kind"),
        "looper thread kind": _same("looper_thread.kind"),
        "stitch": _same("stitch", "stitch.name"),
        MACHINE: _same("machine", "machine.name"),
        "elastane": _apart("fabric.elastane", 0.0),
        "cloth thickness": _apart("fabric.thickness", None),
        "stretch along": _apart("fabric.stretch_along", None),
        "number of layers": _apart("fabric.plies", _USUAL_LAYERS),
        "needle thread size": _apart("needle_thread.tex", ORDINARY.tex),
        "looper thread size": _apart("looper_thread.tex", ORDINARY.tex),
        OWN_SWATCHES: lambda telling, here: sum(same_cloth(trial.fabric, here.fabric) for trial in telling),
    }
)
"""How many swatches say something of a cause, where not all do; a proposal waits for it, so it counts lists and asks no trial twice."""


def is_control(column: Column) -> bool:
    """Whether a column is what a control does, and not what the seam is."""
    return column.property in LEVERS


def cause(column: Column, machines_apart: bool = False) -> str:
    """What a sewer calls the cause that a column belongs to.

    What a control does on one machine and not on others belongs to the machine where machines are told apart, else to the control.
    """
    if machines_apart and column.block == "machine lever":
        return MACHINE
    if is_control(column):
        return _CONTROLS[column.property]
    if column.property.endswith(" thread"):
        return f"{column.property} {'size' if ' tex' in column.name else 'kind'}"
    if column.name == "stretch along":
        return "stretch along"
    return _PROPERTIES.get(column.property, column.property)


def behind(names: Iterable[str], trials: Iterable[Trial], here: Seam) -> Mapping[str, int]:
    """How many swatches say something of each cause, as it is in one seam.

    Of a choice (stitch, machine, fibre ...) those with the same one; of a number that is often ordinary or unknown (elastane,
    thickness, layers, thread size ...) those where it is neither; of anything else all. A swatch says something if it has a
    reading or passed.
    """
    telling = [trial for trial in trials if trial.readings or trial.passed]
    return {name: _BEHIND[name](telling, here) if name in _BEHIND else len(telling) for name in names}
