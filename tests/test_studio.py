"""The studio through its public names: what it learns, keeps, refuses and shares."""

import math
import os
import subprocess
import sys
import threading
from dataclasses import replace

import numpy as np
import pytest

from recommender import Dial, Fabric, Machine, Settings, Studio, Thread, stitches
from recommender.errors import InvalidValue, OveredgeError, StudioError, UnknownName, UnsuitableMachine
from recommender.trade.readings import READINGS
from recommender.trade.tables import share

JERSEY = Fabric(name="rib jersey", construction="knit", fibre="cotton", gsm=220, stretch=60)
POPLIN = Fabric(name="poplin", construction="woven", fibre="cotton", gsm=120)
SEAM = {"stitch": "four-thread overlock", "machine": "bench", "needle_thread": Thread(tex=27), "looper_thread": Thread(tex=27)}


@pytest.fixture
def studio(tmp_path):
    with Studio.open(tmp_path / "my-studio.sqlite") as opened:
        opened.add_machine(Machine.generic("bench"))
        yield opened


def sew(studio, fabric=JERSEY, passed=False, settings=None, **readings):
    start = settings or studio.propose(fabric=fabric, **SEAM).settings
    return studio.record(fabric=fabric, **SEAM, settings=start, passed=passed, readings=readings)


def test_the_loop(studio):
    first = studio.propose(fabric=JERSEY, **SEAM)
    assert first.settings == first.baseline
    sew(studio, edge_lie=1, needle_line=-1)
    second = studio.propose(fabric=JERSEY, **SEAM)
    assert second.settings.differential > first.settings.differential
    assert second.settings.tension["left needle"] + second.settings.tension["right needle"] > 8
    assert {move.control for move in second.moves} & {"differential"}
    assert second.last == studio.trials()[-1]
    sew(studio, passed=True)
    assert studio.propose(fabric=JERSEY, **SEAM).settings == second.settings


def test_a_fail_on_one_cloth_moves_the_start_of_the_next_like_it(studio):
    alike = replace(JERSEY, name="another rib")
    before = studio.propose(fabric=alike, **SEAM).settings
    for number in range(8):
        sew(studio, replace(JERSEY, name=f"rib {number}"), settings=before, edge_lie=2)
    assert studio.propose(fabric=alike, **SEAM).settings.differential > before.differential


def test_stitches_are_those_of_the_catalogue():
    assert stitches() == (
        "four-thread overlock",
        "three-thread overlock wide",
        "three-thread overlock narrow",
        "three-thread flatlock wide",
        "three-thread flatlock narrow",
        "narrow hem",
        "rolled hem",
        "picot edge",
        "two-thread overlock",
        "two-thread rolled hem",
        "gathering",
        "corded overlock",
        "pin tuck",
        "decorative braid",
    )


def test_a_correction_and_a_withdrawal_are_learned_and_kept(studio):
    untouched = studio.propose(fabric=POPLIN, **SEAM)
    trial = sew(studio, POPLIN, edge_lie=-2)
    assert studio.propose(fabric=POPLIN, **SEAM).settings.differential < untouched.settings.differential
    studio.correct(trial.id, "read upside down", readings={"edge_lie": 2})
    assert studio.propose(fabric=POPLIN, **SEAM).settings.differential > untouched.settings.differential
    studio.withdraw(trial.id, "the strip was lost")
    again = studio.propose(fabric=POPLIN, **SEAM)
    assert again.settings == untouched.settings
    assert again.last is None
    assert [event.kind for event in studio.history(trial.id)] == ["recorded", "corrected", "withdrawn"]


def test_a_studio_opened_again_says_the_same(studio, tmp_path):
    for score in (2, 1, -1):
        sew(studio, edge_lie=score)
    said = studio.propose(fabric=JERSEY, **SEAM)
    with Studio.open(tmp_path / "my-studio.sqlite") as again:
        assert again.propose(fabric=JERSEY, **SEAM) == said
        assert again.notice == ""


def test_copying_the_folder_copies_the_studio(studio, tmp_path):
    sew(studio, edge_lie=2)
    said = studio.propose(fabric=JERSEY, **SEAM)
    studio.close()
    (tmp_path / "elsewhere").mkdir()
    for file in tmp_path.glob("my-studio*"):
        (tmp_path / "elsewhere" / file.name).write_bytes(file.read_bytes())
    with Studio.open(tmp_path / "elsewhere" / "my-studio.sqlite") as copy:
        assert copy.propose(fabric=JERSEY, **SEAM) == said


def test_the_same_log_gives_the_same_model_file(tmp_path):
    for name in ("one", "two"):
        with Studio.open(tmp_path / f"{name}.sqlite") as studio:
            studio.add_machine(Machine.generic("bench"))
            for score in (2, -1, 1):
                sew(studio, edge_lie=score)
            studio.fit()
    for kind in ("npz", "json"):
        assert (tmp_path / f"one-model.{kind}").read_bytes() == (tmp_path / f"two-model.{kind}").read_bytes()


@pytest.mark.parametrize(
    ("spoil", "sentence"),
    [
        (lambda npz, facts: npz.write_bytes(b"rubbish"), "bytes are not those that were written"),
        (lambda npz, facts: facts.write_text('{"format": "something else"}'), "file of another kind"),
        (lambda npz, facts: facts.write_text("not json"), "not json"),
        (lambda npz, facts: facts.write_text(facts.read_text().replace('"schema": 1', '"schema": 0')), "layout 0"),
        (lambda npz, facts: facts.write_text(facts.read_text().replace('"fingerprint": "', '"fingerprint": "f')), "another log"),
        (lambda npz, facts: (npz.unlink(), facts.unlink()), ""),
    ],
)
def test_a_model_file_that_cannot_be_used_is_said_and_rebuilt(studio, tmp_path, spoil, sentence):
    sew(studio, edge_lie=2)
    said = studio.propose(fabric=JERSEY, **SEAM)
    npz, facts = tmp_path / "my-studio-model.npz", tmp_path / "my-studio-model.json"
    good = npz.read_bytes()
    spoil(npz, facts)
    with Studio.open(tmp_path / "my-studio.sqlite") as again:
        assert again.propose(fabric=JERSEY, **SEAM) == said
        assert sentence in again.notice
        assert bool(again.notice) == bool(sentence)
    assert npz.read_bytes() == good


def test_fit_says_what_it_was_made_of(studio, tmp_path):
    sew(studio, edge_lie=2)
    report = studio.fit()
    assert (report.trials, report.cloths, report.ratings) == (1, 1, 1)
    assert set(report.noise) == set(READINGS)
    assert (tmp_path / "my-studio-model.json").exists()


def test_two_studios_on_one_log_see_each_other(studio, tmp_path):
    with Studio.open(tmp_path / "my-studio.sqlite") as other:
        before = other.propose(fabric=JERSEY, **SEAM)
        sew(studio, edge_lie=2)
        after = other.propose(fabric=JERSEY, **SEAM)
        assert after.settings != before.settings
        assert after == studio.propose(fabric=JERSEY, **SEAM)


def test_threads_that_record_and_propose_at_once_lose_nothing(studio):
    faults = []

    def work(number: int) -> None:
        try:
            for turn in range(5):
                sew(studio, replace(JERSEY, name=f"cloth {number}"), edge_lie=turn % 3 - 1)
                studio.propose(fabric=JERSEY, **SEAM)
        except Exception as error:  # noqa: BLE001  # any fault of a thread must reach the test
            faults.append(error)

    threads = [threading.Thread(target=work, args=(number,)) for number in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert not faults
    assert len(studio.trials()) == 20
    last = studio.propose(fabric=JERSEY, **SEAM)
    studio.fit()
    assert studio.propose(fabric=JERSEY, **SEAM).settings == last.settings


def test_a_studio_on_a_server(postgresql_url, tmp_path):
    with Studio.open(postgresql_url) as studio:
        studio.add_machine(Machine.generic("bench"))
        sew(studio, edge_lie=2)
        said = studio.propose(fabric=JERSEY, **SEAM)
    with Studio.open(postgresql_url) as again:
        assert again.propose(fabric=JERSEY, **SEAM) == said


def test_a_machine_described_anew_is_believed(studio):
    sew(studio, edge_lie=2)
    finer = replace(Machine.generic("bench"), differential=Dial(0.7, 2.0, 0.05, 1.0))
    studio.add_machine(finer)
    found = studio.propose(fabric=JERSEY, **SEAM)
    assert finer.differential.nearest(found.settings.differential) == pytest.approx(found.settings.differential)


def test_trials_of_a_machine_that_lost_a_part_do_not_stop_the_studio(studio):
    braid = dict(SEAM, stitch="two-thread overlock")
    start = studio.propose(fabric=JERSEY, **braid).settings
    studio.record(fabric=JERSEY, **braid, settings=start, passed=False, readings={"edge_lie": 1})
    studio.add_machine(replace(Machine.generic("bench"), converter=False))
    assert studio.propose(fabric=POPLIN, **SEAM).settings
    assert len(studio.trials()) == 1
    with pytest.raises(UnsuitableMachine, match="two-thread converter"):
        studio.propose(fabric=JERSEY, **braid)


def test_what_matters_shares_come_to_one_and_bands_hold_them(studio):
    assert studio.matters().controls == ()
    for number, score in enumerate((2, -2, 1, -1, 0, 1)):
        settings = studio.propose(fabric=JERSEY, **SEAM).baseline.having({"differential": 1.0 + 0.1 * number})
        sew(studio, replace(JERSEY, name=f"cloth {number}", gsm=150 + 20 * number), settings=settings, edge_lie=score)
    found = studio.matters()
    assert found.trials == 6
    assert sum(share.share for share in (*found.controls, *found.properties)) == pytest.approx(1.0)
    assert found.controls[0].name == "differential feed"
    assert all(share.low <= share.share <= share.high or math.isclose(share.high, share.low) for share in found.controls)


def test_an_effect_lies_among_its_swatches(studio):
    rng = np.random.default_rng(1)
    for number in range(30):
        moved = int(rng.integers(-4, 5))
        settings = studio.propose(fabric=JERSEY, **SEAM).baseline.having({"differential": round(1.4 + 0.1 * moved, 1)})
        sew(studio, replace(JERSEY, name=f"cloth {number}"), settings=settings, edge_lie=float(np.clip(round(-moved) / 2, -2, 2)))
    effect = studio.effect("edge_lie", "differential")
    assert len(effect.points) == 30
    line = np.interp([point.x for point in effect.points], effect.x, effect.mean)
    assert effect.mean[0] > 0 > effect.mean[-1]
    assert np.abs(line - [point.y for point in effect.points]).mean() < 0.5
    assert all(low <= mean <= high for low, mean, high in zip(effect.low, effect.mean, effect.high, strict=True))


GOOD = {"fabric": JERSEY, **SEAM, "passed": False, "readings": {"edge_lie": 1}}
STANDS = Settings(
    tension=dict.fromkeys(["left needle", "right needle", "upper looper", "lower looper"], 4), differential=1, length=3, width=6
)
HOSTILE = [
    ({"stitch": "five-thread wonder"}, "four-thread overlock"),
    ({"stitch": None}, "expected one of"),
    ({"machine": "benhc"}, "bench"),
    ({"fabric": "jersey"}, "expected a Fabric"),
    ({"needle_thread": 27}, "expected a Thread"),
    ({"settings": {"width": 6}}, "expected Settings"),
    ({"settings": replace(STANDS, differential=3.5)}, "0.7 to 2"),
    ({"settings": replace(STANDS, tension={"upper looper": 4})}, "runs a thread there"),
    ({"passed": "yes"}, "expected yes or no"),
    ({"passed": None}, "passed"),
    ({"passed": 1}, "expected yes or no"),
    ({"readings": {"edge_lie": 3}}, "-2 to 2"),
    ({"readings": {"edge_lie": 0.3}}, "steps of 0.5"),
    ({"readings": {"edge_lie": math.nan}}, "-2 to 2"),
    ({"readings": {"edge_lie": "1"}}, "-2 to 2"),
    ({"readings": {"edge_lie": True}}, "-2 to 2"),
    ({"readings": {"wavyness": 1}}, "edge_lie"),
    ({"readings": [1, 2]}, "expected a mapping"),
    ({"flags": ["on fire"]}, "jam"),
    ({"flags": "jam"}, "expected a list"),
    ({"needle_size": 9000}, "50 to 140"),
    ({"needle_size": "80/14"}, "expected one of: 60/8"),
    ({"needle_size": True}, "expected one of: 60/8"),
    ({"note": "x" * 5000}, "2000 characters"),
    ({"who": "a\x00b"}, "control characters"),
    ({"when": "yesterday"}, "expected a date and time"),
]


@pytest.mark.parametrize(("wrong", "sentence"), HOSTILE)
def test_bad_input_is_a_sentence_and_costs_nothing(studio, wrong, sentence):
    sew(studio, edge_lie=1)
    before = studio.trials()
    with pytest.raises(OveredgeError) as caught:
        studio.record(**{**GOOD, "settings": STANDS, **wrong})
    assert sentence in str(caught.value)
    assert "\n" not in str(caught.value)
    assert studio.trials() == before
    assert studio.propose(fabric=JERSEY, **SEAM)


@pytest.mark.parametrize(
    "wrong",
    [
        {"gsm": 5},
        {"gsm": math.inf},
        {"gsm": "heavy"},
        {"gsm": True},
        {"stretch": -1},
        {"plies": 0},
        {"plies": 2.5},
        {"construction": "felted"},
        {"fibre": "asbestos"},
        {"name": ""},
        {"thickness": 99},
    ],
)
def test_a_fabric_that_cannot_be_is_refused_by_name(wrong):
    with pytest.raises(InvalidValue, match=f"fabric {next(iter(wrong))}: got .*expected"):
        replace(JERSEY, **wrong)


@pytest.mark.parametrize(("given", "kept"), [(80, 80), (12, 80), ("80/12", 80), ("size 14", 90), (82.5, 82.5), (None, None)])
def test_a_needle_is_noted_by_any_number_of_its_packet(studio, given, kept):
    trial = studio.record(**{**GOOD, "settings": STANDS, "needle_size": given})
    assert trial.needle_size == kept
    assert studio.correct(trial.id, needle_size=given).needle_size == kept


def test_an_unknown_trial_and_an_unknown_field_are_named(studio):
    with pytest.raises(UnknownName, match="no-such"):
        studio.correct("no-such", passed=True)
    trial = sew(studio, edge_lie=1)
    with pytest.raises(UnknownName, match="speed"):
        studio.correct(trial.id, speed=3)
    with pytest.raises(InvalidValue, match="expected text"):
        studio.withdraw(trial.id, "")


def test_a_place_that_is_no_studio_is_said(tmp_path):
    (tmp_path / "notes.sqlite").write_text("shopping list")
    for where in (tmp_path / "notes.sqlite", "oracle://somewhere/else"):
        with pytest.raises(StudioError):
            Studio.open(where)


def test_a_folder_that_cannot_be_written_still_serves_proposals(studio, monkeypatch):
    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("recommender.studio.knowledge.save", full)
    sew(studio, edge_lie=2)
    assert studio.propose(fabric=JERSEY, **SEAM).moves
    assert "No space left on device" in studio.notice


def test_importing_the_package_is_quick():
    """The public names are handed out when asked for: importing the package alone brings in none of the heavy libraries."""
    heavy = ("pandas", "sklearn", "scipy", "streamlit", "great_expectations", "sqlalchemy", "numpy")
    code = f"import recommender, sys; print([name for name in {heavy} if name in sys.modules])"
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, env=dict(os.environ))
    assert ran.stdout.strip() == "[]"


@pytest.mark.parametrize("score", [-1, -2])
def test_gaps_are_closed_by_a_shorter_stitch_whatever_another_machine_has_taught(studio, tmp_path, score):
    """The trade's own way (common practice, no source); stitches far from the ordinary length once taught that the dial acts backwards."""
    studio.add_machine(Machine.generic("window"))
    studio.import_csv(share("data") / "examples" / "notebook.csv", tmp_path / "rejects.csv")
    chiffon = Fabric(name="chiffon", construction="woven", fibre="silk", gsm=50, plies=1)
    seam = {"fabric": chiffon, "stitch": "rolled hem", "machine": "window"}
    studio.record(**seam, settings=studio.propose(**seam).settings, passed=False, readings={"stitch_cover": score})
    moves = {move.control: move.end - move.start for move in studio.propose(**seam).moves}
    assert moves["length"] < 0
