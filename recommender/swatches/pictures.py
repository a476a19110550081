"""Photos of swatches: from whatever a camera or a scanner gives to one small upright picture."""

import io
from typing import TYPE_CHECKING

from recommender.errors import InvalidValue

if TYPE_CHECKING:
    from PIL import Image

LONGEST = 1600
"""Pixels along the longer side of a kept photo: enough to count stitches on a tablet."""
MOST_PIXELS = 70_000_000
"""The largest picture that is looked at; unpacked a PNG of that size takes some 400 MB, a JPEG a fraction of it."""
FORMATS = ("JPEG", "PNG", "WEBP", "AVIF", "TIFF", "GIF", "BMP", "JPEG2000")
"""What cameras, scanners and screenshots write. Others are left alone, since Pillow hands some of them to programs that run them."""

_HEIF = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"mif1", b"msf1")


def photo(picture: bytes, longest: int = LONGEST) -> bytes:
    """The picture as an upright JPEG of at most `longest` pixels a side, on white where it was transparent, without its metadata.

    Raises
    ------
    InvalidValue
        If it is no picture, is damaged, or is larger than `MOST_PIXELS`.
    """
    from PIL import Image, ImageOps

    _check_given(picture)
    try:
        with Image.open(io.BytesIO(picture), formats=FORMATS) as opened:
            _check_size(*opened.size)
            opened.thumbnail((longest, longest))  # a JPEG is unpacked at about this size, not whole
            upright = _shades(ImageOps.exif_transpose(opened)).convert("RGBA")
    except InvalidValue:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise _too_large("more") from error
    except Exception as error:  # what a decoder raises on bytes that are no picture is not told anywhere
        raise InvalidValue(f"photo: {_fault(picture[:12])}; take it again, or save it as JPEG or PNG") from error
    clean = Image.new("RGB", upright.size, "white")  # a fresh one carries no place, no time and no name of a camera
    clean.paste(upright, mask=upright.getchannel("A"))
    written = io.BytesIO()
    clean.save(written, "JPEG", quality=85)
    return written.getvalue()


def _shades(image: "Image.Image") -> "Image.Image":
    """The picture with 8 bits a shade; a scanner's 16 would all come out white."""
    return image.convert("I").point(lambda shade: shade * (1 / 257)).convert("L") if image.mode.startswith("I") else image


def _check_given(picture: object) -> None:
    if not isinstance(picture, bytes):
        raise InvalidValue(f"photo: got {type(picture).__name__}, expected the bytes of a picture")
    if not picture:
        raise InvalidValue("photo: got an empty file, expected a picture; take it again")


def _check_size(width: int, height: int) -> None:
    if width * height > MOST_PIXELS:
        raise _too_large(f"{width} x {height}")


def _too_large(size: str) -> InvalidValue:
    return InvalidValue(f"photo: got {size} pixels, expected at most {MOST_PIXELS // 1_000_000} million; take it with fewer")


def _fault(head: bytes) -> str:
    if head[4:8] == b"ftyp" and head[8:12] in _HEIF:
        return "got a HEIC picture, which cannot be read here"
    return "got something that is no picture or a damaged one, expected a JPEG, PNG, WebP, AVIF, TIFF, GIF or BMP"
