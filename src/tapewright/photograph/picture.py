"""Picture: bytes from a camera become pixels, and pixels become bytes, both safely.

A picture comes from anywhere.  Its kind and size are read from its header, and it is refused
before a pixel is made if it is too large.  Nothing but pixels is kept: where and when it was taken
goes no farther.

Holds:  Picture record; reading JPEG, PNG and HEIC within limits; writing JPEG without metadata.
Never:  what is seen in it.
"""

import io
import warnings
from dataclasses import dataclass
from typing import Any

import numpy as np

from tapewright.ground.errors import BadInput
from tapewright.photograph.vision import Pixels, vision

MOST_BYTES = 40_000_000
MOST_PIXELS = 51_000_000  # a telephone's 50 megapixels
LEAST_SIDE = 320
WORKING_PIXELS = 13_000_000  # more is halved: 300 mm of paper are then 3,000 pixels or so
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
    halved : int
        How many pixels of the upright file one of these stands for, along one side. [-]
    """

    pixels: Pixels
    halved: int = 1

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
        Turned upright; large ones halved.

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
    kinds: tuple[str, ...] = KINDS
    if content[4:8] == b"ftyp":
        vision("pi_heif").register_heif_opener()
        kinds = ("HEIF",)
    image_kind = vision("PIL.Image")
    with warnings.catch_warnings():
        warnings.simplefilter("error", image_kind.DecompressionBombWarning)
        try:
            image = image_kind.open(io.BytesIO(content), formats=kinds)
        except (image_kind.DecompressionBombError, image_kind.DecompressionBombWarning):
            raise _too_large(name, "more than 89") from None
        except image_kind.UnidentifiedImageError:
            raise BadInput(name, "this is no picture that can be read", MEND) from None
        except Exception:  # noqa: BLE001 — decoders raise whatever they stumble over
            raise _damaged(name) from None
        with image:
            return _decoded(image, name)


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


def _decoded(image: Any, name: str) -> Picture:  # noqa: ANN401 — Pillow's own
    """Pixels of an opened file; its size is looked at first."""
    wide, high = image.size
    count = wide * high
    if count > MOST_PIXELS:
        raise _too_large(name, f"{count / 1e6:.0f}")
    if min(wide, high) < LEAST_SIDE:
        wrong = f"{wide} by {high} pixels are too few to find holes in"
        raise BadInput(name, wrong, "Take the picture again, and send it unreduced")
    halved = 1
    while count / halved**2 > WORKING_PIXELS:
        halved *= 2
    try:
        image.draft("RGB", (wide // halved, high // halved))  # JPEG is decoded small at once
        image.load()
        made = wide // image.size[0]
        if made < halved:
            image = image.reduce(halved // made)
        upright = vision("PIL.ImageOps").exif_transpose(image)
        pixels = np.array(upright.convert("RGB"))
    except Exception:  # noqa: BLE001 — decoders raise whatever they stumble over
        raise _damaged(name) from None
    return Picture(pixels, halved)


def _too_large(name: str, megapixels: str) -> BadInput:
    wrong = f"{megapixels} megapixels are more than {MOST_PIXELS / 1e6:.0f}"
    return BadInput(name, wrong, "Set the camera to 12 megapixels; that is enough")


def _damaged(name: str) -> BadInput:
    return BadInput(name, "the picture is damaged or only partly there", "Send it again, whole")
