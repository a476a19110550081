"""The printed card, read by a library that had no part in making it."""

import re
import socket
from collections.abc import Callable, Iterator
from io import BytesIO

import numpy as np
import pytest
import zxingcpp
from fontTools.ttLib import TTFont
from pypdf import PageObject, PdfReader

from recommender import Studio, stitches
from recommender.advice.watching.running import SHIFTS
from recommender.cards.card import FIRST, UNPLUG, Card, card_of_proposal, card_of_trial
from recommender.cards.pdf import SIZES, card_pdf
from recommender.cards.sheet import sheet
from recommender.errors import UnknownName
from recommender.trade.asked import asking
from recommender.trade.looks import reading
from recommender.trade.readings import READINGS
from recommender.trade.words import Units

from .conftest import BASE, NOON, SEAM, Proposed

DRIFTS = tuple(SHIFTS)
POINTS = 72 / 25.4
Sewn = Callable[..., Card]


def pages(card: Card, size: str = "a6") -> list[PageObject]:
    return list(PdfReader(BytesIO(card_pdf(card, size)), strict=True).pages)


def text_of(page: PageObject) -> str:
    return " ".join(page.extract_text().split())


def fonts_of(page: PageObject) -> Iterator[tuple[str, bytes]]:
    """Name and file of each font; a font that is not embedded has no file and is a fault."""
    for font in page["/Resources"]["/Font"].values():
        inner = font.get_object()["/DescendantFonts"][0].get_object()
        yield str(inner["/BaseFont"]), inner["/FontDescriptor"]["/FontFile2"].get_data()


def squares(page: PageObject) -> np.ndarray:
    """The page's square as an image, put together from the rectangles that it is drawn with."""
    found: list[tuple[float, ...]] = []
    page.extract_text(visitor_operand_before=lambda op, args, *_: found.append(tuple(map(float, args))) if op == b"re" else None)
    module = min(abs(high) for *_, high in found)
    bars = np.array([bar for bar in found if abs(abs(bar[3]) - module) < 1e-2])
    left, top = bars[:, 0].min(), bars[:, 1].max()
    cells = np.round(np.column_stack([bars[:, 0] - left, top - bars[:, 1], bars[:, 2]]) / module).astype(int)
    side = int((cells[:, 0] + cells[:, 2]).max()) + 8
    image = np.full((side, side), 255, np.uint8)
    for x, y, length in cells:
        image[y + 4, x + 4 : x + 4 + length] = 0
    return np.kron(image, np.ones((4, 4), np.uint8))


def test_a6_has_a_front_and_a_back_and_a_label_one_side(proposed: Proposed) -> None:
    card = proposed()
    for size, count in (("a6", 2), ("label", 1)):
        found = pages(card, size)
        assert len(found) == count
        for page in found:
            assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx([mm * POINTS for mm in SIZES[size]], abs=0.01)


def test_the_front_tells_what_to_set_and_the_back_how_to_prepare(sewn: Sewn) -> None:
    card = sewn(note="keep the tails long")
    front, back = map(text_of, pages(card))
    for words in (
        "rib jersey",
        "four-thread overlock · ISO 4915: 514",
        "on bench",
        card.standing,
        "6.5",
        "1.5",
        "keep the tails long",
        FIRST,
    ):
        assert words in front
    for words in ("left needle", "right needle", "upper looper", "lower looper", "The needle line", "27 tex polyester, spun"):
        assert words in front
    assert FIRST in back
    for step in card.steps:
        assert step.text in back
        assert step.caution in back


def test_a_label_tells_every_number(sewn: Sewn) -> None:
    card = sewn()
    told = text_of(pages(card, "label")[0])
    assert f"{UNPLUG} {FIRST}" in told
    for mark in card.marks:
        assert f"{mark.to_set:g}" in told.split()


def test_a_dial_that_may_have_drifted_is_to_be_tested_on_both_sizes_and_no_word_is_cut(proposed: Proposed) -> None:
    names = "rib jersey", "a rib jersey of a name that is long enough for two lines"
    for doubted in (("tension: upper looper",), ("differential",), DRIFTS):
        for name in names:
            card = proposed(name, doubted=doubted)
            for size, word in (("a6", "test this"), ("label", "test")):
                told = text_of(pages(card, size)[0])
                assert card.doubt in told
                assert len(re.findall(rf"\b{word}\b", told)) == len(doubted)
                assert "…" not in told


def test_who_thinks_in_inches_reads_them_beside_each_mark_of_the_dial_and_no_word_is_cut(studio: Studio) -> None:
    proposal, machine = studio.propose(**SEAM), studio.machines["bench"]
    card = card_of_proposal(proposal, machine, when=NOON, address=BASE, units=Units("imperial"))
    for size, heads in (("a6", ("stitch length ", "cutting width ")), ("label", ("stitch length, ", "cutting width, "))):
        told = text_of(pages(card, size)[0])
        assert "…" not in told
        for head, unit, number in zip(heads, ("mm; 8.5 per inch", "mm; 0.236 in"), ("3", "6"), strict=True):
            assert head + unit in told
            assert number in told.split()


@pytest.mark.parametrize("stitch", stitches())
def test_no_stitch_runs_off_the_paper(proposed: Proposed, stitch: str) -> None:
    card = proposed("W" * 80, stitch)
    for size in SIZES:
        found = pages(card, size)
        assert len(found) == (2 if size == "a6" else 1)
        for page in found:
            places: list[tuple[float, float]] = []
            page.extract_text(visitor_text=lambda text, _, tm, *__: places.append((tm[4], tm[5])) if text.strip() else None)  # noqa: B023  # used at once
            assert all(0 < x < SIZES[size][0] * POINTS and 3 < y < SIZES[size][1] * POINTS for x, y in places)


@pytest.mark.parametrize("score", [-2, 2])
@pytest.mark.parametrize("stitch", stitches())
def test_readings_are_told_in_the_words_of_the_stitch_and_none_is_cut(studio: Studio, stitch: str, score: float) -> None:
    proposal = studio.propose(**{**SEAM, "stitch": stitch})
    trial = studio.record(**asking(proposal), settings=proposal.settings, passed=False, readings=dict.fromkeys(READINGS, score), when=NOON)
    front = text_of(pages(card_of_trial(trial, proposal, studio.machines["bench"], address=BASE))[0])
    assert "…" not in front
    for told in (reading(name, stitch) for name in READINGS):
        assert all(words in front for words in (told.title, told.minus, told.plus))


@pytest.mark.parametrize(
    ("name", "font"),
    [
        ("rib ß é", "NotoSans400"),
        ("кулирка", "NotoSans700"),
        ("βαμβάκι", "NotoSans700"),
        ("棉针织", "NotoSansCJKSC700"),
        ("リブ天竺", "NotoSansCJKJP700"),
        ("면 저지", "NotoSansCJKKR700"),
        ("כותנה", "Heebo"),
    ],
)
def test_a_name_prints_in_the_letters_of_its_language(proposed: Proposed, name: str, font: str) -> None:
    for size in SIZES:
        page = pages(proposed(name), size)[0]
        assert name in text_of(page) or name[::-1] in text_of(page)  # Hebrew is laid from the right
        assert any(font in found for found, _ in fonts_of(page))


def test_arabic_letters_take_the_shape_of_their_place(proposed: Proposed) -> None:
    page = pages(proposed("ببب"))[0]
    [file] = [file for name, file in fonts_of(page) if "Arabic" in name]
    assert TTFont(BytesIO(file))["maxp"].numGlyphs >= 4  # nothing, first, middle, last
    assert text_of(page).count("ب") == 3


def test_thai_marks_stand_over_their_letters(proposed: Proposed) -> None:
    page = pages(proposed("ผ้าไหม"))[0]
    assert "ผ้าไหม" in text_of(page)
    assert "Not printed" not in text_of(page)
    assert any("Thai" in name for name, _ in fonts_of(page))
    with sheet(100, 40, ["กี้"]) as paper:
        paper.set_font("card", "", 10)
        paper.set_text_shaping(use_shaping_engine=True)
        assert paper.get_string_width("กี้") == pytest.approx(paper.get_string_width("ก"))  # both marks over the letter take no room


def test_letters_without_a_font_are_named_in_a_sentence(proposed: Proposed) -> None:
    for size in SIZES:
        told = text_of(pages(proposed("silk ລ 🧵"), size)[0])
        assert "silk … …" in told
        assert "Not printed: Lao letters and signs such as spool of thread of the name" in told


def test_every_font_is_embedded_and_cut_down(proposed: Proposed) -> None:
    for page in pages(proposed("棉 قطن")):
        found = list(fonts_of(page))
        assert found
        for name, file in found:
            assert re.match(r"/[A-Z]{6}\+", name)  # the mark of a subset, ISO 32000-1, 9.6.4
            assert len(file) < 60_000


def test_the_same_card_gives_the_same_bytes_and_asks_nobody(proposed: Proposed, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        pytest.fail("the card asked the network")

    monkeypatch.setattr(socket.socket, "connect", refuse)
    card = proposed("棉 кулирка قطن")
    for size in SIZES:
        assert card_pdf(card, size) == card_pdf(card, size)
    assert PdfReader(BytesIO(card_pdf(card))).metadata.creation_date == card.when


@pytest.mark.parametrize("size", SIZES)
def test_another_reader_scans_the_square(proposed: Proposed, size: str) -> None:
    address = "http://192.0.2.7:8501/?fabric=%E6%A3%89+rib&construction=knit&fibre=cotton&gsm=220&stitch=rolled+hem&machine=bench"
    page = pages(proposed(address=address), size)[0]
    [code] = zxingcpp.read_barcodes(squares(page))
    assert code.text == address
    assert [link["/A"]["/URI"] for link in (note.get_object() for note in page["/Annots"])] == [address]


def test_without_an_address_there_is_no_square(proposed: Proposed) -> None:
    page = pages(proposed(address=""))[0]
    assert "scan" not in text_of(page)
    assert "/Annots" not in page


def test_a_size_that_does_not_exist_is_refused(proposed: Proposed) -> None:
    with pytest.raises(UnknownName, match="expected one of: a6, label"):
        card_pdf(proposed(), "a4")
