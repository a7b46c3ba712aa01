"""Keep picture: a photograph from a camera becomes one that is small enough to be kept.

Holds:  the errand; how large what is kept may be.
Never:  reading a picture's bytes (photograph), where it is kept.
"""

from tapewright.photograph.picture import jpeg_bytes, read_picture, reduced

MOST_SIDE = 1280  # pixels: a screw is seen, and a notebook stays small


def picture_to_keep(content: bytes, name: str) -> bytes:
    """A JPEG of it with nothing but its pixels: neither where nor when it was taken."""
    return jpeg_bytes(reduced(read_picture(content, name).pixels, MOST_SIDE))
