"""The letters that a card can print: open fonts that come as packages, cut down to what one card uses.

Noto Sans has the Latin, Greek, Cyrillic and Devanagari letters, Noto Sans Arabic, Heebo and Noto Sans Thai the Arabic, Hebrew and Thai
ones, Noto Sans CJK Chinese, Japanese and Korean. All are under the SIL Open Font License 1.1, which lets a document embed them. Other
letters are named in a sentence, see `printable`.
"""

import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.resources import files
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fontTools.ttLib import TTFont

NARROW = 80.0
"""Width of the letters in percent of the ordinary; a card is small."""
WEIGHTS: Mapping[str, int] = {"": 400, "B": 700}
"""Weight of the strokes by style."""

_ALWAYS = "".join(map(chr, range(32, 127))) + "²·–’…"
_CJK = ("Noto Sans CJK JP", "Noto Sans CJK KR", "Noto Sans CJK SC")
"""Faces of the collection in its own order; a letter that they share is drawn as the language of the text draws it."""
_SHAPED = frozenset({"Arabic letters", "Devanagari letters", "Hebrew letters", "Thai letters"})


@dataclass(frozen=True, slots=True)
class Face:
    """One font, for the letters that the faces before it lack."""

    name: str
    """What it is called."""
    shaped: bool
    """Whether the letters take other shapes beside each other, so that the font's rules for that are needed."""
    letters: str
    """The letters of a text that it draws, each once."""


def faces_for(text: str) -> tuple[Face, ...]:
    """The faces that a text needs, each with its letters; Noto Sans always comes first, with the usual letters.

    >>> [face.name for face in faces_for("rib, кулирка, 棉")]
    ['Noto Sans', 'Noto Sans CJK SC']
    """
    found = {("Noto Sans", False): set(_ALWAYS)}
    asian = _asian(text)
    for letter in set(text):
        if name := _face_of(letter, asian):
            found.setdefault((name, is_shaped(letter)), set()).add(letter)
    return tuple(Face(*kind, "".join(sorted(letters))) for kind, letters in found.items())


def printable(text: str) -> tuple[str, str]:
    """The text with every run of letters that no face has as `…`, and the sentence that says which they are; empty where none is.

    >>> printable("silk")
    ('silk', '')
    >>> printable("silk ሐር")
    ('silk …', 'Not printed: Ethiopic letters of the name, for which the card has no font.')
    """
    asian, kept, lost = _asian(text), "", []
    for letter in text:
        if _face_of(letter, asian):
            kept += letter
        elif not kept.endswith("…"):
            kept += "…"
        lost += [] if _face_of(letter, asian) else [_script(letter)]
    if not lost:
        return text, ""
    names = " and ".join(dict.fromkeys(lost))
    return kept, f"Not printed: {names} of the name, for which the card has no font."


def is_shaped(text: str) -> bool:
    """Whether letters of a text take other shapes beside each other, or run from the right."""
    return not text.isascii() and any(_script(letter) in _SHAPED for letter in text)


@lru_cache(maxsize=64)
def cut(face: Face) -> Mapping[str, bytes]:
    """A font file by style that holds the letters of one face alone; the same bytes at every call."""
    if face.shaped:
        return {style: _with_rules(face, weight) for style, weight in WEIGHTS.items()}
    with _opened(face.name) as font:  # once for all, since the tables of a large font take a second to read
        return {style: _redrawn(font, face, _place(font, weight)) for style, weight in WEIGHTS.items()}


def _place(font: "TTFont", weight: int) -> dict[str, float]:
    """Where on the axes of a font the wanted letters lie."""
    wanted = {"wght": float(weight), "wdth": NARROW}
    return {axis.axisTag: wanted[axis.axisTag] for axis in font["fvar"].axes}


def _with_rules(face: Face, weight: int) -> bytes:
    """The font cut down, with its rules for the shapes of letters beside each other."""
    from fontTools import subset
    from fontTools.varLib import instancer

    with _opened(face.name) as font:
        cutter = subset.Subsetter(subset.Options(notdef_outline=True))
        cutter.populate(text=face.letters)
        cutter.subset(font)
        return _saved(instancer.instantiateVariableFont(font, _place(font, weight), inplace=True))


def _redrawn(font: "TTFont", face: Face, place: dict[str, float]) -> bytes:
    """A new font with the outlines of the letters and nothing else: ten times as quick, and all outlines are of the kind that PDF knows."""
    from fontTools.fontBuilder import FontBuilder
    from fontTools.pens.cu2quPen import Cu2QuPen
    from fontTools.pens.recordingPen import DecomposingRecordingPen
    from fontTools.pens.ttGlyphPen import TTGlyphPen

    known, shapes, drawn = font.getBestCmap(), font.getGlyphSet(location=place), {}
    cmap = {ord(letter): known[ord(letter)] for letter in face.letters if ord(letter) in known}
    for name in (".notdef", *sorted(set(cmap.values()))):
        outline, pen = DecomposingRecordingPen(shapes), TTGlyphPen(None)
        shapes[name].draw(outline)
        outline.replay(pen if "glyf" in font else Cu2QuPen(pen, max_err=1.0, reverse_direction=True))
        drawn[name] = pen.glyph()
    new = FontBuilder(font["head"].unitsPerEm, isTTF=True)
    new.setupGlyphOrder(list(drawn))
    new.setupCharacterMap(cmap)
    new.setupGlyf(drawn)
    new.setupHorizontalMetrics({name: (round(shapes[name].width), getattr(glyph, "xMin", 0)) for name, glyph in drawn.items()})
    new.setupHorizontalHeader(ascent=font["hhea"].ascent, descent=font["hhea"].descent)
    title = f"{face.name} {place['wght']:g}"
    new.setupNameTable({"familyName": face.name, "fullName": title, "psName": title.replace(" ", "")})
    new.setupOS2(usWeightClass=round(place["wght"]))
    new.setupPost()
    new.font["head"].created, new.font["head"].modified = font["head"].created, font["head"].modified
    new.font.recalcTimestamp = False
    return _saved(new.font)


def _saved(font: "TTFont") -> bytes:
    out = BytesIO()
    font.save(out)
    return out.getvalue()


def _asian(text: str) -> str:
    """The face for the letters that Chinese, Japanese and Korean share."""
    scripts = {_script(letter).partition(" ")[0] for letter in text}
    return _CJK[0] if scripts & {"Hiragana", "Katakana"} else _CJK[1] if "Hangul" in scripts else _CJK[2]


def _face_of(letter: str, asian: str) -> str:
    """The first face that has a letter; empty where none has."""
    return next((name for name in ("Noto Sans", "Noto Sans Arabic", "Heebo", "Noto Sans Thai", asian) if ord(letter) in _covered(name)), "")


@cache
def _covered(name: str) -> frozenset[int]:
    """Every letter that a face has."""
    with _opened(name) as font:
        return frozenset(font.getBestCmap())


def _opened(name: str) -> "TTFont":
    from fontTools.ttLib import TTFont

    return TTFont(_path(name), fontNumber=_CJK.index(name) if name in _CJK else -1, lazy=True, recalcTimestamp=False)


def _path(name: str) -> Path:
    if name in _CJK:
        return Path(str(files("manimgx_fonts_cjk") / "NotoSansCJK-VF.otf.ttc"))
    import fontpkg

    return Path(fontpkg.path(name))


def _script(letter: str) -> str:
    """What the letters of one kind are called, by the first word of the character's name.

    >>> _script("ไ"), _script("🧵")
    ('Thai letters', 'signs such as spool of thread')
    """
    name = unicodedata.name(letter, "unknown")
    return f"{name.split()[0].title()} letters" if unicodedata.category(letter)[0] in "LM" else f"signs such as {name.lower()}"
