"""Picture: bytes from a camera become pixels, and pixels become bytes, both safely.

A picture comes from anywhere.  Its kind and size are read from its header, and it is refused
before a pixel is made if it is too large.  What a camera makes is read reduced: JPEG is never
decoded larger than needed; PNG, and JPEG that is stored in passes, must be decoded whole and may
be smaller only.  Nothing but pixels is kept: where and when it was taken goes no farther.

Holds:  Picture record; reading JPEG, PNG and HEIC within limits; writing JPEG without metadata.
Never:  what is seen in it.
Source: markers of JPEG: ITU-T T.81, table B.1.
"""

import io
import re
import warnings
from dataclasses import dataclass
from math import ceil, sqrt
from typing import Any

import numpy as np

from tapewright.ground.errors import BadInput
from tapewright.photograph.vision import Pixels, vision

MOST_BYTES = 55_000_000
MOST_PIXELS = 109_000_000  # a telephone's 108 megapixels
MOST_PIXELS_WHOLE = 30_500_000  # of what cannot be decoded small
MOST_PASSES = 40  # of a JPEG; a usual one of several has ten
LEAST_SIDE = 320
WORKING_PIXELS = 13_000_000  # more is reduced: 300 mm of paper are then 3,000 pixels or so
QUALITY = 88
KINDS = ("JPEG", "PNG")
MEND = "Give a JPEG, PNG or HEIC picture as the camera made it"


@dataclass(frozen=True, slots=True, eq=False)
class Picture:
    """Pixels, upright as the camera was held.

    Parameters
    ----------
    pixels : (h, w, 3) array of bytes
        Red, green and blue.
    reduced : int
        How many pixels of the upright file one of these stands for, along one side. [-]
    """

    pixels: Pixels
    reduced: int = 1

    @property
    def wide(self) -> int:
        """Pixels across [-]."""
        return int(self.pixels.shape[1])

    @property
    def high(self) -> int:
        """Pixels down [-]."""
        return int(self.pixels.shape[0])


def read_picture(content: bytes, name: str = "photograph") -> Picture:
    """Picture from a file's bytes.

    Parameters
    ----------
    content : bytes
        The whole file.
    name : str
        What it is called, for errors.

    Returns
    -------
    Picture
        Turned upright; large ones reduced.

    Raises
    ------
    BadInput
        If it is no picture, too large, too small, or damaged.
    MissingExtra
        If the library for pictures, or for HEIC, is not installed.
    """
    if len(content) > MOST_BYTES:
        wrong = f"{len(content) / 1e6:.0f} MB are more than {MOST_BYTES / 1e6:.0f} MB"
        raise BadInput(name, wrong, "Take it with fewer pixels, or as JPEG")
    if content[4:8] == b"ftyp":
        return _read_heic(content, name)
    image_kind = vision("PIL.Image")
    with warnings.catch_warnings():
        # its own limit is another; sizes are looked at below
        warnings.simplefilter("ignore", image_kind.DecompressionBombWarning)
        try:
            image = image_kind.open(io.BytesIO(content), formats=KINDS)
        except image_kind.DecompressionBombError:
            raise _too_large(name, "more than 178", MOST_PIXELS) from None
        except image_kind.UnidentifiedImageError:
            raise BadInput(name, "this is no picture that can be read", MEND) from None
        except Exception:  # noqa: BLE001 — decoders raise whatever they stumble over
            raise _damaged(name) from None
        with image:
            return _decoded(image, content, name)


def jpeg_bytes(pixels: Pixels) -> bytes:
    """JPEG of pixels, with nothing in it but these.

    Parameters
    ----------
    pixels : (h, w, 3) array of bytes
        Red, green and blue.

    Returns
    -------
    bytes
        The file.
    """
    cv = vision()
    blue_first = np.ascontiguousarray(pixels[:, :, ::-1])
    _, coded = cv.imencode(".jpg", blue_first, [cv.IMWRITE_JPEG_QUALITY, QUALITY])
    return bytes(coded.tobytes())


def reduced(pixels: Pixels, most_side: int) -> Pixels:
    """The same picture with a longer side of so many pixels or fewer.

    Parameters
    ----------
    pixels : (h, w, 3) array of bytes
        Red, green and blue.
    most_side : int
        Of the longer side [px].

    Returns
    -------
    (h, w, 3) array of bytes
        The same array if it is small enough.
    """
    high, wide = pixels.shape[:2]
    if max(high, wide) <= most_side:
        return pixels
    share, cv = most_side / max(high, wide), vision()
    size = (max(round(share * wide), 1), max(round(share * high), 1))
    small: Pixels = cv.resize(pixels, size, interpolation=cv.INTER_AREA)
    return small


def _decoded(image: Any, content: bytes, name: str) -> Picture:  # noqa: ANN401 — Pillow's own
    """Pixels of an opened file; its size is looked at first."""
    wide, high = image.size
    passes = 1 if image.format == "PNG" else _jpeg_passes(content)
    if passes > MOST_PASSES:
        raise BadInput(name, "it is stored in too many passes", MEND)
    whole = image.format == "PNG" or passes > 1
    _refuse_size(wide, high, name, MOST_PIXELS_WHOLE if whole else MOST_PIXELS)
    times = _times(wide, high)
    try:
        image.draft("RGB", (wide // times, high // times))  # JPEG is decoded small at once
        image.load()
        made = wide // image.size[0]
        if times > 1 and image.mode not in ("L", "RGB"):
            image = image.convert("RGB")  # numbers of colours have no mean
        if made == 1:
            image = image.reduce(times)
        elif made < times:
            step = times / made
            size = (wide // times, high // times)
            box = (0.0, 0.0, size[0] * step, size[1] * step)
            image = image.resize(size, vision("PIL.Image").Resampling.BOX, box)
        upright = vision("PIL.ImageOps").exif_transpose(image)
        pixels = np.array(upright.convert("RGB"))
    except Exception:  # noqa: BLE001 — decoders raise whatever they stumble over
        raise _damaged(name) from None
    return Picture(pixels, times)


def _read_heic(content: bytes, name: str) -> Picture:
    """Pixels of a HEIC file, which its library can only decode whole, and turns upright itself."""
    heif = vision("pi_heif")
    try:
        file = heif.open_heif(io.BytesIO(content))
        wide, high = file.size
    except Exception:  # noqa: BLE001 — decoders raise whatever they stumble over
        raise BadInput(name, "this is no picture that can be read", MEND) from None
    _refuse_size(wide, high, name, MOST_PIXELS)
    times = _times(wide, high)
    try:
        if file.mode in ("RGB", "RGBA"):
            depth = len(file.mode)
            rows = np.frombuffer(file.data, np.uint8).reshape(high, file.stride)
            pixels = rows[:, : wide * depth].reshape(high, wide, depth)
        else:
            pixels = np.array(file.to_pillow().convert("RGB"))
        if times > 1:
            size = (wide // times, high // times)
            within = pixels[: size[1] * times, : size[0] * times]
            cv = vision()
            pixels = cv.resize(within, size, interpolation=cv.INTER_AREA)
    except Exception:  # noqa: BLE001 — the same
        raise _damaged(name) from None
    return Picture(np.ascontiguousarray(pixels[:, :, :3]), times)


def _times(wide: int, high: int) -> int:
    """How many times smaller a picture is worked on, along one side."""
    return ceil(sqrt(wide * high / WORKING_PIXELS))


_MARKER = re.compile(rb"\xff+[^\x00\xff\xd0-\xd7]")  # none is inside coded pixels
_SCAN, _END, _ALONE = 0xDA, 0xD9, {0x01, 0xD8}


def _jpeg_passes(content: bytes) -> int:
    """Over how many scans a JPEG is spread, no farther counted than is needed."""
    at = scans = 0
    while scans <= MOST_PASSES and (found := _MARKER.search(content, at)):
        kind, at = found[0][-1], found.end()
        if kind == _END:
            break
        scans += kind == _SCAN
        if kind not in _ALONE:
            at += int.from_bytes(content[at : at + 2], "big")
    return scans


def _refuse_size(wide: int, high: int, name: str, most: int) -> None:
    if wide * high > most:
        raise _too_large(name, f"{wide * high / 1e6:.0f}", most)
    if min(wide, high) < LEAST_SIDE:
        wrong = f"{wide} by {high} pixels are too few to find holes in"
        raise BadInput(name, wrong, "Take the picture again, and send it unreduced")


def _too_large(name: str, megapixels: str, most: int) -> BadInput:
    wrong = f"{megapixels} megapixels are more than {most // 1_000_000}"
    if most < MOST_PIXELS:
        wrong += ", which is the limit for PNG and for JPEG stored in passes"
        return BadInput(name, wrong, "Save it as an ordinary JPEG, or with fewer pixels")
    return BadInput(name, wrong, "Set the camera to 12 megapixels; that is enough")


def _damaged(name: str) -> BadInput:
    return BadInput(name, "the picture is damaged or only partly there", "Send it again, whole")
