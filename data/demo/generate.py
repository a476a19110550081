"""Write the demo studio's invented log: `python -m data.demo.generate [folder]`, from the top of the repository.

A season in the wardrobe of a village theatre that does not exist. Every cloth is started from the trade's baseline, and a
failed swatch is mended one symptom at a time with the common trouble-shooting chart, as sewers do. Same seed, same bytes.
"""

import csv
import io
import sys
from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np

from data.demo.physics import Piece, Works
from data.demo.workshop import Outcome, Sewer, Workshop
from recommender.swatches.columns import COLUMNS
from recommender.swatches.rows import row_of
from recommender.swatches.trial import Trial
from recommender.trade.machine import Dial, Machine
from recommender.trade.settings import Settings

SEED = 1904
"""Everything follows from it."""
FABRICS = 96
"""New cloths in the season."""
AGAIN = 0.2
"""Share of cloths that are sewn a second time, with another stitch or on the other machine."""
SWATCHES = 6
"""After so many swatches a sewer gives up."""
SEWERS = (
    Sewer(name="Ilse", noise=0.22, silent=0.06),
    Sewer(name="Bram", noise=0.32, silent=0.15, confused=0.03),
    Sewer(name="Noor", noise=0.26, silent=0.12),
)
SEASON = datetime(2025, 2, 3, 8, 30, tzinfo=UTC)
LINT, LINTED, LOOSER = datetime(2025, 7, 1, tzinfo=UTC), ("window table", "left needle"), 1.0
"""From when on lint holds the tension discs of one thread apart, whose they are, and by how many dial numbers it pulls looser."""

NEEDLES, LOOPERS = ("tension: left needle", "tension: right needle"), ("tension: upper looper", "tension: lower looper")
CHART: Mapping[tuple[str, int], tuple[tuple[tuple[str, ...], int], ...]] = {
    ("edge_lie", 1): ((("differential",), 1), (("foot_pressure",), -1), (("length",), 1)),
    ("edge_lie", -1): ((("differential",), -1), (NEEDLES, -1)),
    ("looper_balance", 1): ((("tension: lower looper",), 1), (("tension: upper looper",), -1)),
    ("looper_balance", -1): ((("tension: upper looper",), 1), (("tension: lower looper",), -1)),
    ("needle_line", 1): ((NEEDLES, -1), (("length",), -1)),
    ("needle_line", -1): ((NEEDLES, 1), (("length",), -1)),
    ("edge_wrap", 1): ((("width",), -1), (LOOPERS, -1)),
    ("edge_wrap", -1): ((LOOPERS, 1), (("width",), 1)),
    ("stitch_cover", 1): ((("length",), 1),),
    ("stitch_cover", -1): ((("length",), -1),),
}
"""The common trouble-shooting chart: for a reading and its sign, which controls to move and which way; then the next."""

NOTES = (
    "sleeve seam",
    "for the chorus tunics",
    "hem of the heron cape",
    "poor light",
    "cone nearly empty",
    "edge pressed first",
    "collar",
    "train",
)
WHERE = ("shows at the fold", "only at the start", "better than it looks", "worse across the seam")


def trials() -> Iterator[Trial]:
    """Every trial of the season, in the order of sewing."""
    shop, rng = Workshop(SEED), np.random.default_rng([SEED, 9])
    hours = dict.fromkeys(shop.machines, 1.0)
    when, number, clean, linted = SEASON, 0, shop.works, _linted(shop.works)
    for piece in _pieces(shop, rng):
        when = _later(when, rng)
        shop.works = linted if when >= LINT else clean
        sewer = SEWERS[int(rng.integers(len(SEWERS)))]
        for trial in _sewn(shop, piece, sewer, hours, rng):
            number += 1
            when += timedelta(minutes=int(rng.integers(6, 19)))
            yield replace(trial, id=f"demo-{number:04d}", when=when, note=_first_note(number) or trial.note)


def _linted(clean: Mapping[str, Works]) -> Mapping[str, Works]:
    """The works of the machines once lint has gathered where nobody looks."""
    machine, position = LINTED
    works = clean[machine]
    return {**clean, machine: replace(works, slack={**works.slack, position: works.slack[position] + LOOSER})}


def _pieces(shop: Workshop, rng: np.random.Generator) -> Iterator[Piece]:
    """Every new cloth, and now and then an earlier one again."""
    seen: list[Piece] = []
    for _ in range(FABRICS):
        seen.append(shop.fabric())
        yield seen[-1]
        if rng.random() < AGAIN:
            yield shop.again(seen[int(rng.integers(len(seen)))].fabric)


def _sewn(shop: Workshop, piece: Piece, sewer: Sewer, hours: dict[str, float], rng: np.random.Generator) -> Iterator[Trial]:
    """The swatches of one piece, from the baseline to the first that is rated a pass."""
    settings, tries, name = shop.baseline(piece), dict.fromkeys(CHART, 0), piece.machine.name
    if hours[name] > 8 or rng.random() < 0.15:
        hours[name] = 0.0  # a fresh needle
    for _ in range(SWATCHES):
        outcome = shop.sew(*piece, settings, rng, sewer)
        trial = _logged(piece, settings, outcome, sewer=sewer, hours=hours[name], rng=rng)
        yield trial
        hours[name] = 0.0 if trial.flags & {"skipped_stitches", "needle_holes"} else round(hours[name] + 0.1, 1)
        if trial.passed:
            break
        settings = _mended(settings, piece.machine, outcome.readings, tries)
    hours[name] = round(hours[name] + float(rng.integers(3, 15)) / 10, 1)  # the garment itself


def _logged(piece: Piece, settings: Settings, outcome: Outcome, *, sewer: Sewer, hours: float, rng: np.random.Generator) -> Trial:
    """What the sewer writes down; a swatch with skipped stitches, a broken thread or a jam fails whatever else it looks like."""
    flags = _flags(piece, hours, rng)
    passed = outcome.passed and not flags - {"needle_holes"}
    measured = round(2 * (outcome.seam_change + float(rng.normal()))) / 2
    is_measured, has_note = rng.random() < 0.2, rng.random() < 0.09
    note = NOTES if passed else WHERE
    return Trial(
        id="demo",
        when=SEASON,
        who=sewer.name,
        fabric=piece.fabric,
        stitch=piece.stitch.name,
        machine=piece.machine.name,
        needle_thread=piece.needle_thread,
        looper_thread=piece.looper_thread,
        settings=settings,
        passed=passed,
        readings=_noted(outcome.readings, passed, rng),
        flags=flags,
        seam_change=measured + 0.0 if is_measured else None,
        needle_size=_needle_size(piece),
        needle_hours=hours,
        note=note[int(rng.integers(len(note)))] if has_note else "",
    )


def _noted(readings: Mapping[str, float], passed: bool, rng: np.random.Generator) -> Mapping[str, float]:
    """Some sewers write nothing beside a pass, and some only the worst symptom beside a fail."""
    habit = rng.random()
    if passed:
        return {} if habit < 0.35 else readings
    worst = max(readings, key=lambda name: abs(readings[name]), default=None)
    return {worst: readings[worst]} if worst and habit < 0.15 else readings


def _flags(piece: Piece, hours: float, rng: np.random.Generator) -> frozenset[str]:
    """Faults that have little to do with the settings: an old needle, a weak thread, fine cloth, a thick seam."""
    fabric = piece.fabric
    chances = {
        "skipped_stitches": 0.004 * hours + (0.03 if fabric.stretch > 60 else 0.0),
        "thread_break": 0.015 if piece.looper_thread.tex < 25 else 0.006,
        "needle_holes": 0.05 if fabric.construction == "knit" and fabric.gsm < 150 else 0.004,
        "jam": 0.02 if fabric.gsm * fabric.plies > 700 else 0.003,
    }
    return frozenset(name for name, chance in chances.items() if rng.random() < chance)


def _needle_size(piece: Piece) -> float:
    steps = ((70, 65), (130, 75), (280, 80), (380, 90))
    return float(next((size for gsm, size in steps if piece.fabric.gsm < gsm), 100))


def _mended(settings: Settings, machine: Machine, readings: Mapping[str, float], tries: dict[tuple[str, int], int]) -> Settings:
    """One symptom mended: the worst one's next control in the chart; after two tries with one control, or at its end, the next."""
    worst = max(readings, key=lambda name: abs(readings[name]), default=None)
    if worst is None or not readings[worst]:
        return settings  # nothing to see: rethread and sew it again
    symptom = (worst, 1 if readings[worst] > 0 else -1)
    remedies = CHART[symptom]
    first = tries[symptom] // 2
    tries[symptom] += 1
    for names, way in remedies[first % len(remedies) :] + remedies[: first % len(remedies)]:
        moved = _moved(settings, machine, names, way * (2 if abs(readings[worst]) > 1 else 1))
        if moved != settings:
            return moved
    return settings


def _moved(settings: Settings, machine: Machine, names: tuple[str, ...], amount: int) -> Settings:
    """Some controls moved by `amount` of a hand's usual turns, as far as they go."""
    if names == ("foot_pressure",):
        dial = machine.foot_pressure
        if dial is None or settings.foot_pressure is None:
            return settings
        return replace(settings, foot_pressure=dial.nearest(settings.foot_pressure + amount * dial.step))
    now = settings.controls()
    return settings.having(
        {name: machine.dial(name).nearest(now[name] + amount * _turn(name, machine.dial(name))) for name in names if name in now}
    )


def _turn(name: str, dial: Dial) -> float:
    """A hand's usual turn of a control."""
    return {"differential": 0.1, "length": 0.4, "width": 0.5}.get(name, (dial.high - dial.low) / 12)


def _later(when: datetime, rng: np.random.Generator) -> datetime:
    """When the next piece is begun: now and then the same afternoon, else on one of the next working days."""
    if when.hour < 15 and rng.random() < 0.4:
        return when + timedelta(minutes=int(rng.integers(20, 90)))
    later = when.replace(hour=8, minute=int(rng.integers(0, 60))) + timedelta(days=int(rng.integers(1, 4)), hours=int(rng.integers(0, 7)))
    while later.isoweekday() > 5:
        later += timedelta(days=1)
    return later


def _first_note(number: int) -> str:
    return "Invented, as the whole of this log is: see data/README.md." if number == 1 else ""


def trials_csv() -> str:
    """The log as a CSV file, in the log's own columns."""
    text = io.StringIO()
    writer = csv.DictWriter(text, COLUMNS, lineterminator="\n")
    writer.writeheader()
    writer.writerows({name: _cell(value) for name, value in row_of(trial).items()} for trial in trials())
    return text.getvalue()


def _cell(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return "" if value is None else f"{value:g}" if isinstance(value, float) else str(value)


def machines_toml() -> str:
    """The two machines' profiles, a table each."""
    blocks = [
        "# The two machines of the demo studio. Invented: neither is or is modelled on any machine there is.\n# Written by generate.py.\n"
    ]
    for machine in Workshop(SEED).machines.values():
        dials = {name: getattr(machine, name) for name in ("differential", "length", "width", "foot_pressure")}
        parts = {name: getattr(machine, name) for name in ("removable_finger", "converter", "knife_disengages", "rolled_position")}
        lines = ["[[machine]]", f'name = "{machine.name}"']
        lines += [f"{name} = {_inline(dial)}" for name, dial in dials.items() if dial is not None]
        lines += [f"{name} = {str(there).lower()}" for name, there in parts.items()]
        lines += ["[machine.tension]", *(f'"{position}" = {_inline(dial)}' for position, dial in machine.tension.items())]
        blocks.append("\n".join(lines) + "\n")
    return "\n".join(blocks)


def _inline(dial: Dial) -> str:
    return f"{{ low = {dial.low:g}, high = {dial.high:g}, step = {dial.step:g}, home = {dial.home:g} }}"


def write(folder: Path) -> None:
    """Write both files into a folder."""
    for name, text in (("trials.csv", trials_csv()), ("machines.toml", machines_toml())):
        (folder / name).write_bytes(text.encode())


if __name__ == "__main__":
    write(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent)
