"""The race's studios are what they are said to be, and a small race runs to its tables."""

import subprocess
import sys
from dataclasses import replace

import numpy as np
import pytest

from recommender.trade.baseline import baseline
from recommender.trade.readings import READINGS
from tests.benchmarks.figures import CEILING, Race, mean, ratio, skill
from tests.benchmarks.laps import STUDIOS, Cell, run
from tests.benchmarks.logging_policy import log_of
from tests.benchmarks.race import CLOSE, OPEN, QUICK, held, written
from tests.benchmarks.saturating import Saturating
from tests.benchmarks.sewer import Sewer
from tests.benchmarks.simulated import Simulated
from tests.benchmarks.smooth import Smooth


@pytest.fixture(params=STUDIOS.values(), ids=STUDIOS)
def studio(request: pytest.FixtureRequest) -> Simulated:
    made: Simulated = request.param(seed=1)
    return made


@pytest.fixture(scope="module")
def quick() -> Race:
    return held(QUICK, jobs=1)


def test_the_simulated_studios_know_nothing_of_the_model() -> None:
    told = "import sys, tests.benchmarks.smooth, tests.benchmarks.saturating, tests.benchmarks.logging_policy; print(*sys.modules)"
    loaded = subprocess.run([sys.executable, "-c", told], capture_output=True, text=True, check=True).stdout.split()
    assert "recommender.trade.baseline" in loaded
    assert not [name for name in loaded if name.startswith(("recommender.advice", "recommender.learning", "recommender.studio"))]


def test_every_true_reading_is_nought_at_the_ideal(studio: Simulated) -> None:
    checked = 0
    for piece in (studio.piece(f"cloth {i}") for i in range(40)):
        ideal = studio.ideal(piece)
        dials = {control: piece.machine.dial(control) for control in ideal}
        if all(dial.low < ideal[control] < dial.at(dial.steps) for control, dial in dials.items()):
            truth = studio.truth(piece, baseline(*piece).settings.having(ideal))
            assert max(abs(score) for score in truth.values()) < 1e-9
            checked += 1
    assert checked >= 20


def test_a_cloth_of_one_name_is_the_same_cloth_at_every_call(studio: Simulated) -> None:
    assert studio.piece("one") == studio.piece("one") != studio.piece("other")
    assert studio.ideal(studio.piece("one")) == type(studio)(seed=1).ideal(studio.piece("one"))


@pytest.mark.parametrize(("kind", "low", "high"), [(Smooth, 0.38, 0.52), (Saturating, 0.15, 0.28)])
def test_the_rules_alone_pass_about_as_often_as_stated(kind: type[Simulated], low: float, high: float) -> None:
    studios = [kind(seed) for seed in range(12)]
    pieces = [(studio, studio.piece(f"cloth {i}")) for studio in studios for i in range(20)]
    assert low < np.mean([studio.good(piece, baseline(*piece).settings) for studio, piece in pieces]) < high


def test_slips_of_the_sewer_come_as_often_as_stated() -> None:
    sewer = Sewer(limit=0.85, noise=0.0, missing=0.2, wrong=0.05, confused=0.1)
    truth = dict(zip(READINGS, (0.0, 0.5, -0.5, 2.0, -2.0), strict=True))
    verdicts = [sewer.looks(truth, np.random.default_rng(seed)) for seed in range(2000)]
    assert 0.03 < np.mean([verdict.passed for verdict in verdicts]) < 0.07
    assert 0.71 < np.mean([len(verdict.readings) / 5 for verdict in verdicts]) < 0.76  # 0.8 less those that another is booked over
    strange = [verdict.readings[name] != truth[name] for verdict in verdicts for name in verdict.readings]
    assert 0.09 < np.mean(strange) < 0.12


def test_a_sewer_in_a_hurry_writes_less() -> None:
    sewer = Sewer(limit=0.85, noise=0.0, missing=0.0, wrong=0.0, silent_pass=1.0, worst_only=1.0)
    rng, well, badly = np.random.default_rng(1), dict.fromkeys(READINGS, 0.5), dict.fromkeys(READINGS, 0.5) | {"edge_lie": -2.0}
    assert sewer.looks(well, rng) == (True, {})
    assert sewer.looks(badly, rng) == (False, {"edge_lie": -2.0})


def test_a_longer_log_begins_with_the_shorter_one(studio: Simulated) -> None:
    short, long = log_of(studio, 3), log_of(studio, 6)
    assert long[: len(short)] == short
    assert len({swatch.piece.fabric.name for swatch in long}) == 6


def test_a_quick_race_has_every_rival_in_every_table(quick: Race) -> None:
    text = quick.text()
    assert len(quick.entrants) == 7
    for studio in STUDIOS:
        part = text.split(f"### The {studio} studio")[1].split("###")[0]
        assert all(part.count(f"| {rival} |") == 5 for rival in quick.entrants)
        assert all(title in part for title in ("ideals inside the 80 % bands", "Brier skill", "less the best rival"))


def test_with_an_empty_log_nobody_knows_more_than_the_rules(quick: Race) -> None:
    for studio in STUDIOS:
        rules = [lap.first for lap in quick.of(studio, "rules, one at a time", 0)]
        for rival in quick.rivals:
            assert rival == CEILING or [lap.first for lap in quick.of(studio, rival, 0)] == rules


def test_the_same_cell_gives_the_same_figures() -> None:
    laps = [[replace(lap, seconds=0.0) for lap in run(Cell("saturating", 5, 3), tests=2)] for _ in range(2)]
    assert laps[0] == laps[1]


def test_the_page_keeps_what_stands_around_the_tables(tmp_path) -> None:
    page = tmp_path / "page.md"
    page.write_text(f"before\n\n{OPEN}\nold\n{CLOSE}\n\nafter\n", encoding="utf-8")
    for text in ("first\n", "second\n"):
        written(text, page)
        assert page.read_text(encoding="utf-8") == f"before\n\n{OPEN}\n\n{text}\n{CLOSE}\n\nafter\n"


def test_figures_carry_the_error_of_their_mean() -> None:
    rng = np.random.default_rng(5)
    cloths = [rng.normal(2.0, 1.0, size=50) for _ in range(200)]
    assert mean(cloths).error == pytest.approx(1 / np.sqrt(200 * 50), rel=0.2)
    apart = [cloth + rng.normal() for cloth in cloths]  # studios that differ make the mean less certain than the cloths alone would
    assert mean(apart).error == pytest.approx(np.sqrt(1 / 200), rel=0.2)
    assert ratio([(2 * cloth, cloth) for cloth in cloths]) == pytest.approx((2.0, 0.0), abs=1e-9)


def test_skill_is_one_for_a_seer_and_nought_for_the_base_rate() -> None:
    good = np.array([1.0, 0.0, 1.0, 1.0])
    assert skill(good, good) == 1.0
    assert skill(np.full(4, 0.75), good) == pytest.approx(0.0)
