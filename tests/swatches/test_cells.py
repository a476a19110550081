"""What people type in a cell, and what is meant by it."""

import contextlib
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recommender.errors import OveredgeError
from recommender.swatches.cells import DateOpen, cell_of, date_of, number_of, unguarded, value_of
from recommender.swatches.columns import COLUMNS


@pytest.mark.parametrize(
    ("name", "cell", "value"),
    [
        ("gsm", " 220 ", 220.0),
        ("gsm", "2.2e2", 220.0),
        ("gsm", "200 g/m2", 200.0),
        ("gsm", "", None),
        ("gsm", " n/a ", None),
        ("gsm", "–", None),
        ("gsm", "heavy-ish 2,5", "raises"),
        ("gsm", "1_000", "raises"),
        ("gsm", "nan", "raises"),
        ("stretch", "nan", "nan"),
        ("stretch", "inf", "inf"),
        ("stretch", "١٢", "١٢"),
        ("stretch", "1,5", "1,5"),
        ("stretch", "40%", "40%"),
        ("edge_lie", "+1", 1.0),
        ("edge_lie", "−0.5", -0.5),
        ("needle_tex", "Nm 80/2", 25.0),
        ("length", "10 spi", 2.54),
        ("length", "2,5", "2,5"),
        ("needle_size", "80/12", 80),
        ("needle_size", "12", 80),
        ("needle_size", "83.5", 83.5),
        ("passed", "Pass", True),
        ("passed", "FAILED", False),
        ("passed", "nearly", "nearly"),
        ("passed", "", None),
        ("jam", "x", True),
        ("stitch", "Rolled_Hem", "rolled hem"),
        ("stitch", "four thread  overlock", "four-thread overlock"),
        ("stitch", "504", "504"),
        ("construction", "KNIT", "knit"),
        ("fabric", "  rib jersey ", "rib jersey"),
        ("fabric", "-", "-"),
        ("note", "", None),
        ("note", "'=1+1", "=1+1"),
        ("note", "'tis", "'tis"),
        ("when", "14.3.2025", "2025-03-14"),
        ("when", "2025/3/4 16:30", "2025-03-04 16:30"),
        ("when", "12/31/2025", "2025-12-31"),
        ("when", "5/5/2025", "2025-05-05"),
        ("when", "last week", "last week"),
    ],
)
def test_a_cell_is_read_as_it_was_meant(name: str, cell: str, value: Any) -> None:
    if value == "raises":
        with pytest.raises(OveredgeError):
            value_of(COLUMNS[name], cell)
    else:
        found = value_of(COLUMNS[name], cell)
        assert (found, type(found)) == (pytest.approx(value) if isinstance(value, float) else value, type(value))


def test_a_decimal_comma_is_read_where_cells_are_parted_otherwise() -> None:
    assert value_of(COLUMNS["stretch"], "1,5", decimal_comma=True) == 1.5
    assert number_of("1.234,5", decimal_comma=True) is None
    assert number_of("1.5", decimal_comma=True) == 1.5


def test_a_day_that_may_be_a_month_is_asked_about() -> None:
    with pytest.raises(DateOpen, match="write 2025-04-03 or 2025-03-04"):
        date_of("03/04/2025")


def rule_texts(name: str) -> st.SearchStrategy[str]:
    letters = st.characters(exclude_categories=["C", "Zl", "Zp"]).filter(lambda letter: letter.isprintable() or letter in "\n\t")
    rule = COLUMNS[name].rule
    awkward = st.sampled_from(
        ["=1+1", "'=1+1", "''", "'", " x ", "\n", "-1", "@x", "+x", "\t=x", "None", "n/a", "(help)", '"', "a,b;c", "'x"]
    )
    return (st.text(letters, min_size=int(rule.low), max_size=30) | awkward).filter(bool)


@given(st.sampled_from(["fabric", "who", "note", "machine"]).flatmap(lambda name: st.tuples(st.just(name), rule_texts(name))))
def test_every_text_comes_back_as_it_was_and_is_never_a_formula(named: tuple[str, str]) -> None:
    name, text = named
    cell = cell_of(name, text)
    assert value_of(COLUMNS[name], cell) == text
    assert not cell.startswith(("=", "+", "-", "@", "\t", "\r"))


@given(st.floats(0.02, 1000))
def test_every_number_comes_back_as_it_was(number: float) -> None:
    assert number_of(cell_of("stretch", number)) == number


@given(st.text(max_size=20))
def test_a_cell_without_our_apostrophe_loses_only_the_blanks_around_it(text: str) -> None:
    if not text.startswith("'"):
        assert unguarded(text) == text.strip()


@given(st.sampled_from(list(COLUMNS)), st.text(max_size=30))
def test_no_cell_whatever_does_anything_but_give_a_value_or_a_sentence(name: str, cell: str) -> None:
    with contextlib.suppress(OveredgeError):  # anything else comes through
        value_of(COLUMNS[name], cell)
