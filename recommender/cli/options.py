"""The options that commands share, and what their text means."""

import inspect
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, fields, replace
from datetime import datetime
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from recommender.errors import InvalidValue, UnknownName
from recommender.trade.asked import Asked
from recommender.trade.fabric import CONSTRUCTIONS, FIBRES, GRAINS, Fabric
from recommender.trade.names import unknown
from recommender.trade.readings import FLAGS, READINGS
from recommender.trade.settings import Settings
from recommender.trade.thread import KINDS, ORDINARY, Thread

if TYPE_CHECKING:
    from recommender.studio import Studio


def _or_of_the_whole(context: typer.Context, value: str | None) -> str | None:
    return value if value is not None else context.find_root().params.get("studio")


def _only_as_typed(context: typer.Context, value: str | None) -> str | None:
    """Leave OVEREDGE_STUDIO out: invented trials do not belong in a sewer's own log."""
    whole = context.find_root()
    source = whole.get_parameter_source("studio")
    typed = whole.params.get("studio") if source is not None and source.name == "COMMANDLINE" else None
    return value if value is not None else typed


StudioOption = Annotated[
    str | None,
    typer.Option(
        "--studio",
        metavar="PATH|URL",
        callback=_or_of_the_whole,
        help="File or database of the studio; otherwise OVEREDGE_STUDIO, otherwise the one in your data folder.",
    ),
]
DemoStudioOption = Annotated[
    str | None,
    typer.Option(
        "--studio",
        metavar="PATH|URL",
        callback=_only_as_typed,
        help="Where the demo studio is kept; otherwise a folder of its own in your data folder.",
    ),
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print JSON for a program to read.")]


def one_of(names: Iterable[str]) -> str:
    """The names there are, for the help of an option."""
    return "one of: " + ", ".join(names)


@dataclass(frozen=True, kw_only=True)
class SeamOptions:
    """The options that describe a seam, as typed."""

    stitch: Annotated[str, typer.Option(help="The stitch by its name, such as: four-thread overlock.")]
    machine: Annotated[str | None, typer.Option(help="The machine; needed where the studio has more than one.")] = None
    like: Annotated[str | None, typer.Option(metavar="PRESET", help="Start from a usual cloth, such as: T-shirt jersey.")] = None
    fabric: Annotated[str | None, typer.Option(metavar="NAME", help="Start from a cloth that this studio has logged.")] = None
    name: Annotated[str | None, typer.Option(help="What you call the cloth.")] = None
    construction: Annotated[str | None, typer.Option(help=one_of(CONSTRUCTIONS))] = None
    fibre: Annotated[str | None, typer.Option(help=one_of(FIBRES))] = None
    weight: Annotated[str | None, typer.Option(help='Weight of one layer with its unit, such as "6 oz" or "200 gsm".')] = None
    gsm: Annotated[float | None, typer.Option(help="Weight of one layer in g/m2.")] = None
    stretch: Annotated[float | None, typer.Option(help="Stretch across, in %.")] = None
    stretch_along: Annotated[float | None, typer.Option(help="Stretch along, in %.")] = None
    elastane: Annotated[float | None, typer.Option(help="Share of elastane, in %.")] = None
    thickness: Annotated[float | None, typer.Option(help="Thickness of one layer, in mm.")] = None
    plies: Annotated[int | None, typer.Option(help="Layers under the foot.")] = None
    grain: Annotated[str | None, typer.Option(help=one_of(GRAINS))] = None
    thread: Annotated[
        str | None,
        typer.Option(help='Thread in needles and loopers: "27 tex", "ticket 75", "Nm 80/2, cotton", "18 tex, polyamide, textured".'),
    ] = None
    needle_thread: Annotated[str | None, typer.Option(help="Thread in the needles, where it differs.")] = None
    looper_thread: Annotated[str | None, typer.Option(help="Thread in the loopers, where it differs.")] = None

    @property
    def given(self) -> frozenset[str]:
        """The options that were typed."""
        return frozenset(name for name, value in vars(self).items() if value not in (None, ""))

    def seam(self, studio: "Studio") -> Asked:
        """What the text means in this studio."""
        both = ORDINARY if self.thread is None else read_thread(self.thread)
        return Asked(
            fabric=self._fabric(studio),
            stitch=self.stitch,
            machine=self.machine if self.machine is not None else _only_machine(studio.machines),
            needle_thread=both if self.needle_thread is None else read_thread(self.needle_thread),
            looper_thread=both if self.looper_thread is None else read_thread(self.looper_thread),
        )

    def _fabric(self, studio: "Studio") -> Fabric:
        from recommender.trade.presets import presets
        from recommender.trade.units import weight

        if self.like is not None and self.fabric is not None:
            raise InvalidValue("cloth: got both --like and --fabric, expected one of them to start from")
        if self.weight is not None and self.gsm is not None:
            raise InvalidValue("cloth weight: got both --weight and --gsm, expected one of them")
        typed = {f.name: getattr(self, f.name) for f in fields(Fabric) if f.name in _DESCRIBING}
        given = {name: value for name, value in typed.items() if value is not None}
        if self.weight is not None:
            given["gsm"] = weight(self.weight)
        if self.like is not None:
            return replace(_named("preset", self.like, presets()), **given)
        if self.fabric is not None:
            return replace(_named("cloth", self.fabric, studio.fabrics()), **given)
        if lacking := [name for name in ("name", "construction", "fibre", "gsm") if name not in given]:
            raise InvalidValue(
                f"cloth: nothing given for {', '.join(lacking)}, expected all of --name --construction --fibre --weight, "
                "or --like and a usual cloth, or --fabric and a logged one"
            )
        return Fabric(**given)


_DESCRIBING = {f.name for f in fields(SeamOptions)} & {f.name for f in fields(Fabric)}


def describes_seam(command: Callable[..., None], of: type[SeamOptions] = SeamOptions) -> Callable[..., None]:
    """Give a command, whose first parameter is a `SeamOptions`, one option for each of its fields."""
    own = list(inspect.signature(command).parameters.values())[1:]
    shared = [
        inspect.Parameter(f.name, inspect.Parameter.KEYWORD_ONLY, default=getattr(of, f.name, inspect.Parameter.empty), annotation=f.type)
        for f in fields(of)
    ]

    @wraps(command)
    def with_options(**values: Any) -> None:
        options = of(**{parameter.name: values.pop(parameter.name) for parameter in shared})
        command(options, **values)

    with_options.__signature__ = inspect.Signature([*shared, *own])  # type: ignore[attr-defined]  # functions may carry one; typer reads it
    return with_options


def read_thread(text: str) -> Thread:
    """A thread from its size, and its fibre and kind where they are named.

    >>> read_thread("ticket 75"), read_thread("18 tex, polyamide, textured")
    (Thread(tex=40.0, fibre='polyester', kind='spun'), Thread(tex=18.0, fibre='polyamide', kind='textured'))
    """
    from recommender.trade.units import thread_size

    size, *words = [part.strip() for part in text.split(",")]
    given: dict[str, str] = {}
    for word in words:
        if word not in (*FIBRES, *KINDS):
            raise unknown("thread", word, (*FIBRES, *KINDS))
        given["fibre" if word in FIBRES else "kind"] = word
    return Thread(tex=thread_size(size), **given)


def read_settings(start: Settings, pairs: Iterable[str]) -> Settings:
    """Settings with some controls set otherwise, each as `control=value`.

    >>> start = Settings(tension={"lower looper": 4}, differential=1, length=2.5, width=5)
    >>> read_settings(start, ["differential=1.2", "lower looper=5", "length=12.7 spi"]).controls()
    {'tension: lower looper': 5.0, 'differential': 1.2, 'length': 2.0, 'width': 5.0}
    """
    values = _pairs("setting", pairs)
    pressure = values.pop("foot pressure", None)
    if pressure is not None:
        start = replace(start, foot_pressure=_number("foot pressure", pressure))
    full = {_control(start, name): value for name, value in values.items()}
    return start.having({name: _length(value) if name == "length" else _number(name, value) for name, value in full.items()})


def read_readings(pairs: Iterable[str]) -> dict[str, float]:
    """Readings, each as `name=score`.

    >>> read_readings(["edge_lie=1", "needle_line=-0.5"])
    {'edge_lie': 1.0, 'needle_line': -0.5}
    """
    values = _pairs("reading", pairs)
    if strays := [name for name in values if name not in READINGS]:
        raise unknown("reading", strays[0], READINGS)
    return {name: _number(f"reading {name}", value) for name, value in values.items()}


READINGS_HELP = f"A reading as NAME=SCORE, -2 to 2; {one_of(READINGS)}"
FLAGS_HELP = f"A fault that was seen; {one_of(FLAGS)}"


def _only_machine(machines: Mapping[str, object]) -> str:
    match list(machines):
        case []:
            raise UnknownName("machine: this studio has none yet; add one with: overedge machine add NAME --generic")
        case [only]:
            return only
    raise UnknownName(f"machine: nothing given, expected --machine with {one_of(machines)}")


def _named(noun: str, name: str, known: Mapping[str, Fabric]) -> Fabric:
    if name in known:
        return known[name]
    if not known:
        raise UnknownName(
            f"{noun}: got {name!r}, but this studio has logged none yet; describe it, or start from a usual cloth with --like"
        )
    raise unknown(noun, name, known)


def _control(settings: Settings, name: str) -> str:
    full = f"tension: {name}"
    return full if full in settings.controls() else name


def _pairs(noun: str, pairs: Iterable[str]) -> dict[str, str]:
    values: dict[str, str] = {}
    for pair in pairs:
        name, sign, value = pair.rpartition("=")
        if not sign or not name.strip():
            raise InvalidValue(f"{noun}: got {pair!r}, expected a name and a number such as {_PAIR[noun]}")
        if name.strip() in values:
            raise InvalidValue(f"{noun}: got {name.strip()} twice, expected it once")
        values[name.strip()] = value.strip()
    return values


_PAIR = {"setting": "differential=1.2", "reading": "edge_lie=1"}


def _length(text: str) -> float:
    from recommender.trade.units import stitch_length

    return stitch_length(text) if any(character.isalpha() for character in text) else _number("length", text)


def _number(noun: str, text: str) -> float:
    try:
        return float(text)
    except ValueError:
        raise InvalidValue(f"{noun}: got {text!r}, expected a number") from None


BEFORE_TURNING = (
    "Caution: turn any control that moves the knife or the feed only while the machine stands still, hands clear of needles and knife; "
    "switch off and unplug before you reach inside. The machine's manual and local rules come first."
)
"""What stands under every list of controls to move."""


def moment(given: datetime | None) -> datetime | None:
    """A date and time as typed, in the sewer's own time zone.

    Raises
    ------
    InvalidValue
        If there is no such moment.
    """
    try:
        return None if given is None else given.astimezone()
    except (OverflowError, ValueError) as error:
        raise InvalidValue(f"date: got {given}, expected one of this age, such as 2025-03-14 16:30") from error


def check_free(file: Path, *, replace: bool | None = None) -> None:
    """See that a file is there to be made, or may be written over; `replace` is None where a command does not offer that.

    Raises
    ------
    InvalidValue
        If there is one already.
    """
    if file.exists() and not replace:
        way = "a new name" if replace is None else "a new name, or --replace"
        raise InvalidValue(f"{file}: it exists already, expected {way}; nothing was written")
