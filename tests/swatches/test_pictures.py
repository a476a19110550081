"""Whatever a camera gives becomes one small upright picture, and nothing else does."""

import contextlib
import io
import random
import tracemalloc
import warnings
import zlib
from typing import Any

import pytest
from PIL import Image

from recommender.errors import InvalidValue
from recommender.swatches.pictures import FORMATS, LONGEST, MOST_PIXELS, photo

PLACE = 0x8825
ORIENTATION = 0x0112


def picture(size: tuple[int, int] = (60, 40), mode: str = "RGB", kind: str = "JPEG", **more: Any) -> bytes:
    """A picture whose upper left corner is dark and whose rest is light."""
    drawn = Image.new("L", size, 230)
    drawn.paste(20, (0, 0, size[0] // 2, size[1] // 2))
    written = io.BytesIO()
    drawn.convert(mode).save(written, kind, **more)
    return written.getvalue()


def opened(jpeg: bytes) -> Image.Image:
    found = Image.open(io.BytesIO(jpeg))
    assert found.format == "JPEG"
    assert found.mode == "RGB"
    return found


def dark_corner(found: Image.Image) -> tuple[bool, bool]:
    """Whether the dark corner is to the right, and whether it is below."""
    grey, (width, height) = found.convert("L"), found.size
    places = {(right, below): (width - 4 if right else 3, height - 4 if below else 3) for right in (0, 1) for below in (0, 1)}
    corners = {corner: grey.getpixel(place) for corner, place in places.items()}
    right, below = min(corners, key=lambda corner: corners[corner])
    return bool(right), bool(below)


@pytest.mark.parametrize("kind", [*FORMATS, "MPO"])
def test_every_format_of_cameras_and_scanners_is_taken(kind: str) -> None:
    found = opened(photo(picture(kind=kind)))
    assert found.size == (60, 40)
    assert dark_corner(found) == (False, False)


@pytest.mark.parametrize(("mode", "kind"), [("CMYK", "JPEG"), ("L", "JPEG"), ("1", "PNG"), ("P", "GIF"), ("LA", "PNG"), ("RGBA", "WEBP")])
def test_every_way_to_keep_colours_is_taken(mode: str, kind: str) -> None:
    assert dark_corner(opened(photo(picture(mode=mode, kind=kind)))) == (False, False)


def test_sixteen_bits_of_grey_keep_their_shades() -> None:
    shades = (4000).to_bytes(2, "little") * 800 + (60000).to_bytes(2, "little") * 800
    written = io.BytesIO()
    Image.frombytes("I;16", (40, 40), shades).save(written, "PNG")
    grey = opened(photo(written.getvalue())).convert("L")
    assert [grey.getpixel((20, row)) for row in (5, 35)] == pytest.approx([4000 / 257, 60000 / 257], abs=3)


@pytest.mark.parametrize(
    ("turn", "size", "corner"),
    [
        (1, (60, 40), (False, False)),
        (2, (60, 40), (True, False)),
        (3, (60, 40), (True, True)),
        (4, (60, 40), (False, True)),
        (5, (40, 60), (False, False)),
        (6, (40, 60), (True, False)),
        (7, (40, 60), (True, True)),
        (8, (40, 60), (False, True)),
    ],
)
def test_a_picture_is_turned_as_the_camera_was_held(turn: int, size: tuple[int, int], corner: tuple[bool, bool]) -> None:
    """The eight orientations of the Exif standard (CIPA DC-008, tag 0x0112, from memory)."""
    exif = Image.Exif()
    exif[ORIENTATION] = turn
    found = opened(photo(picture(exif=exif)))
    assert found.size == size
    assert dark_corner(found) == corner


def test_a_large_picture_is_turned_too_when_it_is_made_small() -> None:
    exif = Image.Exif()
    exif[ORIENTATION] = 6
    found = opened(photo(picture((4000, 3000), exif=exif)))
    assert found.size == (1200, LONGEST)
    assert dark_corner(found) == (True, False)


def test_nothing_tells_where_or_with_what_it_was_taken() -> None:
    exif = Image.Exif()
    exif[0x010F] = "SECRET maker"
    exif.get_ifd(PLACE)[1] = "SECRET place"
    given = picture(exif=exif, comment=b"SECRET comment", icc_profile=b"SECRET profile" * 20, xmp=b"SECRET xmp")
    assert given.count(b"SECRET") >= 4
    found = photo(given)
    assert b"SECRET" not in found
    assert not opened(found).getexif()
    assert set(opened(found).info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}


def test_what_was_transparent_is_white() -> None:
    clear = io.BytesIO()
    Image.new("RGBA", (20, 20), (0, 0, 0, 0)).save(clear, "PNG")
    assert min(opened(photo(clear.getvalue())).getpixel((10, 10))) > 250


def test_a_small_picture_is_left_at_its_size_and_a_large_one_keeps_its_shape() -> None:
    assert opened(photo(picture((1, 1)))).size == (1, 1)
    assert opened(photo(picture((3200, 400)))).size == (LONGEST, 200)
    assert opened(photo(picture((2000, 2000)), longest=320)).size == (320, 320)
    assert opened(photo(picture((20_000, 4), kind="PNG"))).size == (LONGEST, 1)


def test_a_photo_of_a_photo_is_the_same_size() -> None:
    once = photo(picture((3000, 2000)))
    assert opened(photo(once)).size == opened(once).size


def bomb(width: int, height: int) -> bytes:
    """A few bytes of PNG that say that they unpack to so many pixels."""
    small = bytearray(picture((8, 8), mode="1", kind="PNG"))
    at = small.index(b"IHDR")
    small[at + 4 : at + 12] = width.to_bytes(4) + height.to_bytes(4)
    small[at + 17 : at + 21] = zlib.crc32(small[at : at + 17]).to_bytes(4)
    return bytes(small)


@pytest.mark.parametrize("warned", ["error", "ignore"])
@pytest.mark.parametrize("size", [(10_000, MOST_PIXELS // 10_000 + 1), (10_000, 9_500), (20_000, 20_000)])
def test_a_picture_that_would_fill_the_memory_is_refused_before_it_is_unpacked(size: tuple[int, int], warned: Any) -> None:
    """The reader of pictures warns of the second and refuses the third itself."""
    tracemalloc.start()
    try:
        with warnings.catch_warnings():
            warnings.simplefilter(warned)
            with pytest.raises(InvalidValue, match="expected at most 70 million; take it with fewer"):
                photo(bomb(*size))
        assert tracemalloc.get_traced_memory()[1] < 2_000_000
    finally:
        tracemalloc.stop()


@pytest.mark.parametrize(
    ("given", "told"),
    [
        (b"", "got an empty file"),
        (None, "got NoneType"),
        ("photo.jpg", "got str"),
        (b"Tension 4 on the jersey", "no picture or a damaged one"),
        (b"\x89PNG\r\n\x1a\n", "no picture or a damaged one"),
        (b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 10 10\n%%EOF\n", "no picture"),
        (b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic", "got a HEIC picture"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "no picture"),
    ],
)
def test_what_is_no_picture_is_refused_in_a_sentence(given: Any, told: str) -> None:
    with pytest.raises(InvalidValue, match=told) as error:
        photo(given)
    assert "\n" not in str(error.value)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "AVIF", "TIFF", "GIF"])
def test_damaged_pictures_give_a_sentence_or_a_picture_and_never_anything_else(kind: str) -> None:
    rng = random.Random(7)
    whole = picture((120, 80), kind=kind)
    for _ in range(40):
        bad = bytearray(whole[: rng.randrange(1, len(whole))] if rng.random() < 0.5 else whole)
        for _ in range(rng.randrange(6)):
            bad[rng.randrange(len(bad))] = rng.randrange(256)
        with contextlib.suppress(InvalidValue):
            opened(photo(bytes(bad))).load()


def test_half_a_picture_is_refused() -> None:
    whole = picture((400, 300))
    with pytest.raises(InvalidValue, match="damaged"):
        photo(whole[: len(whole) // 2])
