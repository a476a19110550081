"""The setup card from the command line."""

from pathlib import Path

import pytest
from pypdf import PdfReader

from tests.cli.conftest import Run

JERSEY = ("--like", "T-shirt jersey", "--stitch", "four-thread overlock")
HERE = "http://192.0.2.7:8501"


def test_a_proposal_becomes_a_card_without_a_square_where_no_address_is_given(run: Run, studio: Path, tmp_path: Path) -> None:
    file = tmp_path / "jersey.pdf"
    told = run("card", file, *JERSEY, "--studio", studio)
    assert told.status == 0
    assert f"Wrote {file}. Proposal of " in told.out
    pages = PdfReader(file).pages
    assert len(pages) == 2
    assert "T-shirt jersey" in pages[0].extract_text()
    assert "scan" not in pages[0].extract_text()


def test_a_logged_swatch_becomes_a_label_with_its_address(run: Run, studio: Path, tmp_path: Path) -> None:
    trial = run("record", *JERSEY, "--pass", "--setting", "differential=1.7", "--json", "--studio", studio).json["trial"]["id"]
    file = tmp_path / "label.pdf"
    told = run("card", file, "--trial", trial, "--size", "label", "--address", HERE, "--json", "--studio", studio).json
    assert told["address"] == f"{HERE}/swatch_book?trial={trial}"
    [page] = PdfReader(file).pages
    assert "1.7" in page.extract_text().split()


def test_a_card_is_read_in_the_units_asked_for(run: Run, studio: Path, tmp_path: Path) -> None:
    for units, told in (("metric", "170 g/m2"), ("imperial", "5 oz/yd2")):
        file = tmp_path / f"{units}.pdf"
        assert run("card", file, *JERSEY, "--units", units, "--studio", studio).status == 0
        page = " ".join(PdfReader(file).pages[0].extract_text().split())
        assert told in page
        assert ("per inch" in page) == (units == "imperial")


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        ([], "nothing given, expected --trial"),
        (["--trial", "0f3c"], "0f3c"),
        (["--trial", "0f3c", *JERSEY], "expected --trial alone"),
        ([*JERSEY, "--size", "a4"], "expected one of: a6, label"),
        ([*JERSEY, "--units", "cubits"], "expected one of: metric, imperial"),
        ([*JERSEY, "--address", "192.0.2.7"], "dashboard address: got"),
    ],
)
def test_what_makes_no_card_is_refused_and_writes_nothing(run: Run, studio: Path, tmp_path: Path, arguments: list[str], told: str) -> None:
    answer = run("card", tmp_path / "card.pdf", *arguments, "--studio", studio)
    assert answer.status == 2
    assert told in answer.err
    assert len(answer.err.strip().splitlines()) == 1
    assert not list(tmp_path.glob("*.pdf"))


def test_a_withdrawn_swatch_gets_no_card(run: Run, studio: Path, tmp_path: Path) -> None:
    trial = run("record", *JERSEY, "--pass", "--json", "--studio", studio).json["trial"]["id"]
    run("withdraw", trial, "--why", "bent needle", "--studio", studio)
    assert "which was withdrawn" in run("card", tmp_path / "card.pdf", "--trial", trial, "--studio", studio).err


def test_a_file_that_is_there_is_left_alone(run: Run, studio: Path, tmp_path: Path) -> None:
    file = tmp_path / "letter.pdf"
    file.write_text("Dear Ada")
    assert "it exists already" in run("card", file, *JERSEY, "--studio", studio).err
    assert file.read_text() == "Dear Ada"


def test_the_card_of_a_demo_says_that_it_is_invented(tmp_path: Path, run: Run) -> None:
    demo = tmp_path / "demo.sqlite"
    run("demo", "--no-serve", "--studio", demo)
    told = run("card", tmp_path / "card.pdf", "--trial", "demo-0001", "--json", "--studio", demo).json["standing"]
    assert told.startswith("Demo, invented. Passed 2025-02-04")
