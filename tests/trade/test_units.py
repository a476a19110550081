"""Units: published values, round trips, and the questions asked."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recommender.errors import AmbiguousUnit, InvalidValue, OveredgeError, UnknownName
from recommender.trade.rules import Rule
from recommender.trade.units import (
    SYSTEMS,
    quantity,
    stitch_length,
    stretch,
    thread_size,
    weight,
)

BULLETIN = "a thread maker's technical bulletin on thread numbering"
UNITS = [(name, unit) for name in ("weight", "thread", "length", "width", "thickness") for unit in quantity(name).units]
WRITTEN = [(name, unit, word) for name, unit in UNITS for word in unit.written]


@pytest.mark.parametrize(
    ("text", "gsm"),
    [
        ("1 oz/yd2", 33.9057),  # source: textile pages; 28.349523125 g / 0.83612736 m2
        ("6.1 oz", 206.82),  # source: textile pages, same factor
        ("6,1 oz/yd²", 206.82),
        ("200 g/m2", 200),
        ("gsm 200", 200),
        ("200g/m^2", 200),
        ("16 momme", 69.44),  # from memory: 4.340 g/m2 to the momme
    ],
)
def test_a_weight_is_read_in_grams_per_square_metre(text, gsm):
    assert weight(text) == pytest.approx(gsm, rel=5e-5)


@pytest.mark.parametrize(
    ("text", "tex", "source"),
    [
        ("tex 40", 40, "definition"),
        ("T-40", 40, "definition"),
        ("400 dtex", 40, BULLETIN + ": tex = dtex / 10"),
        ("300 denier", 33.33, BULLETIN + ": tex = denier / 9"),
        ("Nm 30", 33.33, BULLETIN + ": tex = 1000 / Nm; 300 denier is Nm 30"),
        ("Ne 17.72", 33.33, BULLETIN + ": tex = 590.54 / Ne; 300 denier is Ne 17.72"),
        ("Nm 80/2", 25, BULLETIN + ": two plies of 12.5 tex"),
        ("80/2 Nm", 25, "the same, the unit behind"),
        ("NM80/2", 25, "the same, without spaces"),
        ("ticket 75", 40, BULLETIN + ": metric ticket = 3 x 1000 / tex; tex 40 is ticket 75"),
        ("metric ticket 120", 25, BULLETIN + ": Nm 80/2 is ticket 120"),
        ("Tkt. 75", 40, "the same, abbreviated"),
        ("cotton ticket 60", 2 * 590.54 / 40, BULLETIN + ": Ne 40/2 is cotton ticket 60"),
        ("Ne 40/2", 2 * 590.54 / 40, BULLETIN + ": the same thread"),
        ("140 dtex/3", 42, "exact: 3 x 14 tex"),
        ("dtex 140 x 3", 42, "exact, written as a product"),
        ("40 weight", 25, BULLETIN + ": 40 weight is Nm 40, tex 25"),
        ("ticket 40", 75, BULLETIN + ": ticket 40 is tex 75"),
    ],
)
def test_a_thread_size_is_read_in_tex(text, tex, source):
    assert thread_size(text) == pytest.approx(tex, rel=2e-4), source


@pytest.mark.parametrize(
    ("name", "text", "value"),
    [
        ("weight", "7 1/2 oz", 7.5 * 33.90574748),
        ("weight", "7-1/2 oz/yd2", 7.5 * 33.90574748),
        ("weight", "7½ oz", 7.5 * 33.90574748),
        ("weight", "oz/yd2 7 ¾", 7.75 * 33.90574748),
        ("weight", "200 g/m2", 200),
        ("thickness", "1/32 inch", 25.4 / 32),
        ("thickness", "1⁄32 in", 25.4 / 32),
        ("thickness", '1/32"', 25.4 / 32),
        ("width", "¼ inch", 6.35),
        ("width", "3/2 mm", 1.5),
        ("length", "12 1/2 spi", 25.4 / 12.5),
        ("thread", "Nm 80/2", 25),  # a thread has plies there
        ("thread", "40/2 Ne", 2 * 590.54 / 40),
    ],
)
def test_a_fraction_is_read_where_there_are_no_plies(name, text, value):
    assert quantity(name).read(text) == pytest.approx(value, rel=1e-9)


def test_a_bare_fraction_counts_in_the_unit_that_stands_on_its_field():
    assert quantity("thickness").typed("1/32", "inch") == pytest.approx(25.4 / 32)
    assert quantity("weight").typed(" 7½ ", "oz/yd2") == weight("7.5 oz")


def test_140_dtex_three_plies_runs_23809_metres_to_the_kilogram():
    assert 1e6 / thread_size("140 dtex/3") == pytest.approx(23_809.5, abs=0.05)  # exact: 1e6 / 42


def test_ten_and_a_bit_stitches_per_inch_are_two_and_a_half_millimetres():
    assert quantity("length").show(2.5, "stitches per inch") == pytest.approx(10.16)  # exact: 25.4 / 2.5
    assert stitch_length("10.16 spi") == pytest.approx(2.5)
    assert stitch_length("10 spi") == pytest.approx(2.54)
    assert stitch_length("4 stitches/cm") == pytest.approx(2.5)


def test_values_go_out_in_other_units():
    assert quantity("weight").show(206.82, "oz/yd2") == pytest.approx(6.1, rel=5e-5)
    assert quantity("thread").show(40, "metric ticket") == pytest.approx(75)
    assert quantity("thread").show(25, "dtex") == pytest.approx(250)


def test_ten_centimetres_stretched_to_fourteen_are_forty_percent():
    assert stretch(10, 14) == pytest.approx(40)  # source: the usual hand test, (stretched - rest) / rest x 100


@pytest.mark.parametrize(("rest", "stretched"), [(0, 5), (10, 9), (-1, 2), (float("nan"), 3), (1, float("inf"))])
def test_a_stretch_from_impossible_lengths_is_refused(rest, stretched):
    with pytest.raises(InvalidValue, match="two lengths above 0"):
        stretch(rest, stretched)


@pytest.mark.parametrize(("name", "unit"), UNITS, ids=lambda value: getattr(value, "name", value))
@settings(max_examples=30)
@given(value=st.floats(0.01, 2000))
def test_out_and_in_again_gives_the_same_value(name, unit, value):
    asked = quantity(name)
    assert asked.read(asked.show(value, unit.name), unit.name) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(("name", "unit", "word"), WRITTEN)
@settings(max_examples=10)
@given(hundredths=st.integers(1, 10_000_000))
def test_every_way_of_writing_a_unit_is_read_before_and_behind_the_number(name, unit, word, hundredths):
    number = hundredths / 100
    asked = quantity(name)
    for text in (f"{number:.2f} {word}", f"{word} {number:.2f}", f"{number:.2f}{word.upper()}"):
        assert asked.read(text) == pytest.approx(unit.to_base(number), rel=1e-12)


@given(plies=st.integers(1, 12), number=st.integers(1, 400))
def test_plies_multiply_the_size_of_one_ply(plies, number):
    for text in (f"Nm {number}/{plies}", f"{number}/{plies} Nm", f"{number} Nm/{plies}", f"Nm {number} x {plies}"):
        assert thread_size(text) == pytest.approx(plies * 1000 / number, rel=1e-12)


@pytest.mark.parametrize("given_", ["40", "no. 40", "#40", "size 40", 40, 40.0])
def test_a_bare_40_is_a_thread_in_every_unit_and_is_asked_about(given_):
    with pytest.raises(AmbiguousUnit) as caught:
        thread_size(given_)
    offered = ("tex (40 tex)", "dtex (4 tex)", "denier (4.444 tex)", "Nm (25 tex)", "Ne (14.76 tex)", "metric ticket (75 tex)", "?")
    for reading in offered:
        assert reading in str(caught.value)


def test_a_bare_count_with_plies_asks_only_for_units_that_have_plies():
    with pytest.raises(AmbiguousUnit, match=r"tex \(160 tex\), dtex \(16 tex\), denier \(17.78 tex\), Nm \(25 tex\) or Ne \(14.76 tex\)\?"):
        thread_size("80/2")


@pytest.mark.parametrize(("read", "given_"), [(weight, "200"), (weight, 6.1), (stitch_length, "2.5"), (stitch_length, 10)])
def test_a_bare_number_is_never_guessed_at(read, given_):
    with pytest.raises(AmbiguousUnit, match="without a unit; does it count"):
        read(given_)


def test_a_unit_named_apart_settles_a_bare_number():
    assert thread_size("40", "Nm") == thread_size(40, "nm") == 25
    assert weight("6.1 oz", "oz/yd2") == weight(6.1, "oz")


@pytest.mark.parametrize(
    ("read", "given_", "error", "sentence"),
    [
        (weight, "-5 oz", InvalidValue, "expected an amount above 0"),
        (weight, "0 gsm", InvalidValue, "expected an amount above 0"),
        (weight, "1,000 gsm", InvalidValue, "expected a number and its unit"),
        (weight, "gsm 200 oz", InvalidValue, "expected one unit"),
        (weight, "200 gsm/2", InvalidValue, "already counts every ply"),
        (weight, "1/0 oz", InvalidValue, "a fraction such as 1/2 or 7 1/2, with a number above 0"),
        (weight, "0/2 oz", InvalidValue, "expected an amount above 0"),
        (weight, "-1/2 oz", InvalidValue, "expected an amount above 0"),
        (weight, "7 3/2 oz", InvalidValue, "a fraction such as"),
        (weight, "7.5 1/2 oz", InvalidValue, "a fraction such as"),
        (weight, "1/2/3 oz", InvalidValue, "a fraction such as"),
        (weight, "5 bananas", UnknownName, "expected one of: g/m2, oz/yd2, momme"),
        (weight, "", InvalidValue, "expected a number and its unit"),
        (weight, "oz", InvalidValue, "expected a number and its unit"),
        (weight, "9" * 5000 + " oz", InvalidValue, "expected a number and its unit"),
        (weight, None, InvalidValue, "expected an amount above 0"),
        (weight, True, InvalidValue, "expected an amount above 0"),
        (weight, float("nan"), InvalidValue, "expected an amount above 0"),
        (weight, float("inf"), InvalidValue, "expected an amount above 0"),
        (weight, [200], InvalidValue, "expected an amount above 0"),
        (thread_size, "tex -5", InvalidValue, "expected an amount above 0"),
        (thread_size, "ticket 75/2", InvalidValue, "already counts every ply"),
        (thread_size, "Nm 80/0", InvalidValue, "1 to 12 plies"),
        (thread_size, "Nm 80/2/3", InvalidValue, "expected one unit"),
        (thread_size, "40 tx", UnknownName, "did you mean 'tex'"),
    ],
)
def test_nonsense_gets_a_sentence(read, given_, error, sentence):
    with pytest.raises(error) as caught:
        read(given_)
    assert sentence in str(caught.value)
    assert "\n" not in str(caught.value)
    assert len(str(caught.value)) < 300


def test_two_units_that_contradict_are_refused():
    with pytest.raises(InvalidValue, match="got '200 gsm' where oz/yd2 was expected"):
        weight("200 gsm", "oz/yd2")


def test_an_unknown_unit_apart_is_refused():
    with pytest.raises(UnknownName, match="unit of thread size: got 'gauge'"):
        thread_size(5, "gauge")
    with pytest.raises(UnknownName):
        quantity("weight").show(200, None)


@given(st.text(max_size=70))
def test_any_text_is_read_or_refused_with_a_sentence(text):
    for read in (weight, thread_size, stitch_length):
        try:
            assert read(text) > 0
        except OveredgeError as refusal:
            assert str(refusal)  # noqa: PT017  # either outcome is right; what matters is that nothing else is raised


def test_no_way_of_writing_means_two_units():
    for name in ("weight", "thread", "length"):
        words = [word for unit in quantity(name).units for word in unit.written]
        assert len(words) == len(set(words))


def test_every_unit_names_its_source():
    assert all(unit.source for _, unit in UNITS)


@pytest.mark.parametrize(("name", "metric", "imperial"), [("weight", 100, 2.949), ("length", 2.54, 10), ("width", 6.35, 0.25)])
def test_the_same_amount_in_both_systems(name, metric, imperial):
    shown = [quantity(name).show(metric, quantity(name).usual(system)) for system in SYSTEMS]
    assert shown == pytest.approx([metric, imperial], rel=5e-4)


def test_a_bare_number_counts_in_the_unit_that_stands_on_its_field_and_a_written_unit_goes_first():
    assert quantity("weight").typed("6", "oz/yd2") == weight("6 oz/yd2")
    assert quantity("weight").typed("200 g/m2", "oz/yd2") == 200
    with pytest.raises(InvalidValue, match="expected a number and its unit"):
        quantity("weight").typed("heavy", "g/m2")


def test_a_range_is_told_in_the_unit_of_the_field():
    rule = Rule(kind="number", low=15, high=1000)
    assert quantity("weight").within(200, rule, "oz/yd2") == 200
    with pytest.raises(InvalidValue, match=r"got 50 oz/yd2, expected from 0\.4424 to 29\.49 oz/yd2"):
        quantity("weight").within(weight("50 oz"), rule, "oz/yd2")


def test_a_unit_that_falls_tells_its_range_rising():
    with pytest.raises(InvalidValue, match="expected from 10 to 200 Nm"):
        quantity("thread").within(200, Rule(kind="number", low=5, high=100), "Nm")


def test_a_third_system_is_unknown():
    with pytest.raises(UnknownName, match="metric, imperial"):
        quantity("weight").usual("nautical")
