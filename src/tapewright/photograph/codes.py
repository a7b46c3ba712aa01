"""Codes: what the codes in a picture say.

Holds:  reading every QR code of a picture.
Never:  what the texts mean.
Source: QR codes: ISO/IEC 18004, by the library that reads them.
"""

from tapewright.photograph.picture import Picture
from tapewright.photograph.vision import vision

__all__ = ["read_codes"]

ENLARGED = (1, 2)  # times; small codes are found enlarged


def read_codes(picture: Picture) -> tuple[str, ...]:
    """Texts of all codes in a picture that can be read.

    Parameters
    ----------
    picture : Picture
        The picture; how it is turned does not matter.

    Returns
    -------
    tuple of str
        Each text once; empty where no code is found.

    Raises
    ------
    MissingExtra
        If the library for pictures is not installed.
    """
    cv = vision()
    for times in ENLARGED:
        size = (times * picture.wide, times * picture.high)
        grey = cv.cvtColor(picture.pixels, cv.COLOR_RGB2GRAY)
        large = grey if times == 1 else cv.resize(grey, size, interpolation=cv.INTER_CUBIC)
        _, texts, _, _ = cv.QRCodeDetector().detectAndDecodeMulti(large)
        if found := tuple(dict.fromkeys(filter(None, texts))):
            return found
    return ()
