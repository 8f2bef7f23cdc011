"""A photo as a tablet sends it → the picture that is kept: upright, small enough, and free of all else.

Drawing the picture anew is what takes the rest out: place and time of taking, the camera's name, comments
and colour profiles do not come along. Colours of wide-gamut cameras come out a little paler for it.
"""

import hashlib
import re
import struct
import threading
from dataclasses import dataclass
from io import BytesIO
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PIL.Image import Image

MOST_BYTES = 15_000_000
MOST_PIXELS = 50_000_000
LONGEST_PX = 1_600
SMALL_PX = 320
FEWEST_PX = 8
FORMATS = ("JPEG", "PNG", "WEBP")
MEDIA_TYPE = "image/jpeg"
_QUALITY = 82
_PLAIN_SEGMENTS = frozenset({0xE0, 0xDB, 0xC0, 0xC4, 0xDA})
"""Markers of a JPEG that say its density or draw the picture; all others carry something beside it."""
_DENSITY, _DENSITY_BYTES, _SCAN = 0xE0, 16, 0xDA
_START, _END = b"\xff\xd8", b"\xff\xd9"
_MARKER_IN_SCAN = re.compile(rb"\xff[^\x00]")

# Several large pictures decoded at once could use up a small machine's memory.
_one_at_a_time = threading.Lock()


class NoPhotoError(ValueError):
    """The file cannot be kept as a photo; the message says why and what to do."""


@dataclass(frozen=True)
class Taken:
    """A photo as it is kept, and its small form: JPEG both, with the size of the large one in pixels."""

    picture: bytes
    small: bytes
    width_px: int
    height_px: int

    @property
    def sha(self) -> str:
        """The hash the photo is filed under."""
        return hashlib.sha256(self.picture).hexdigest()


def taken(body: bytes) -> Taken:
    """The photo in a file, turned upright, scaled down and drawn anew.

    Raises:
        NoPhotoError: the file is too large, no picture, or a damaged one.
    """
    with _one_at_a_time:
        upright = _shrunk(_upright(body), LONGEST_PX)
        return _kept(upright, _jpeg(upright))


def own_form(picture: bytes) -> Taken:
    """A photo that is in the kept form already, as an exported boat brings it; its bytes stay as they are.

    Raises:
        NoPhotoError: it is not in that form: too large, damaged, or with more in it than the picture.
    """
    with _one_at_a_time:
        image = _upright(picture)
        if max(image.size) > LONGEST_PX or not _is_bare_jpeg(picture):
            raise NoPhotoError("This photo was not written by Tapchart. Put it on the boat by hand instead.")
        return _kept(image, picture)


def _kept(image: "Image", picture: bytes) -> Taken:
    return Taken(picture, _jpeg(_shrunk(image, SMALL_PX)), *image.size)


def _upright(body: bytes) -> "Image":
    """The picture with nothing else, decoded whole, so that a damaged one is found now."""
    from PIL import Image, ImageOps, UnidentifiedImageError

    if len(body) > MOST_BYTES:
        raise NoPhotoError(f"A photo may have {MOST_BYTES / 1e6:g} MB at most. Send a smaller one.")
    try:
        opened = Image.open(BytesIO(body), formats=FORMATS)
        if opened.width * opened.height > MOST_PIXELS:
            raise NoPhotoError(_too_many_pixels())
        # A JPEG can be decoded at a fraction of its size, which saves most of the memory.
        opened.draft("RGB", (LONGEST_PX, LONGEST_PX))
        whole = ImageOps.exif_transpose(opened)
        # The transparent parts of a drawing show paper.
        layered = whole.convert("RGBA") if whole.has_transparency_data else whole.convert("RGB")
    except UnidentifiedImageError as error:
        raise NoPhotoError("This file is no JPEG, PNG or WebP picture. Save it as JPEG first.") from error
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise NoPhotoError(_too_many_pixels()) from error
    except (
        OSError,
        SyntaxError,
        ValueError,
        EOFError,
        struct.error,
        IndexError,
        KeyError,
        TypeError,
    ) as error:
        if isinstance(error, NoPhotoError):
            raise
        raise NoPhotoError("This picture is damaged or not whole. Take or send it again.") from error
    if min(layered.size) < FEWEST_PX:
        raise NoPhotoError("This picture is too small to show anything. Choose another.")
    bare = Image.new("RGB", layered.size, "white")
    bare.paste(layered, mask=layered if layered.mode == "RGBA" else None)
    return bare


def _too_many_pixels() -> str:
    return f"A photo may have {MOST_PIXELS / 1e6:g} million pixels at most. Send a smaller one."


def _shrunk(image: "Image", longest_px: int) -> "Image":
    from PIL import Image

    smaller = image.copy()
    smaller.thumbnail((longest_px, longest_px), Image.Resampling.LANCZOS)
    return smaller


def _jpeg(image: "Image") -> bytes:
    out = BytesIO()
    image.save(out, "JPEG", quality=_QUALITY, optimize=True)
    return out.getvalue()


def _is_bare_jpeg(picture: bytes) -> bool:
    """Whether a JPEG of one scan, as we write them, holds nothing but the picture.

    Markers and segment lengths: ITU-T T.81 (1992), annex B.1.
    """
    if not picture.startswith(_START) or not picture.endswith(_END):
        return False
    at = len(_START)
    while at + 4 <= len(picture):
        fill, marker, length = struct.unpack_from(">BBH", picture, at)
        if fill != _START[0] or marker not in _PLAIN_SEGMENTS:
            return False
        if marker == _DENSITY and length != _DENSITY_BYTES:
            return False  # a small picture of its own would follow
        at += 2 + length
        if marker == _SCAN:
            return _MARKER_IN_SCAN.search(picture, at, len(picture) - len(_END)) is None
    return False  # pragma: no cover - what was decoded has a scan
