"""Codes: what the codes in a picture say.

Holds:  reading every QR code of a picture.
Never:  what the texts mean.
Source: QR codes: ISO/IEC 18004, by the library that reads them.
"""

from tapewright.photograph.picture import Picture
from tapewright.photograph.vision import vision

__all__ = ["read_codes"]

SIDES = (1200, 1800, 2600)  # pixels of the longer side; codes are found at one size or another


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
    grey = cv.cvtColor(picture.pixels, cv.COLOR_RGB2GRAY)
    for reader in (cv.QRCodeDetectorAruco(), cv.QRCodeDetector()):
        for side in SIDES:
            times = side / max(picture.wide, picture.high)
            how = cv.INTER_AREA if times < 1.0 else cv.INTER_CUBIC
            sized = cv.resize(grey, None, fx=times, fy=times, interpolation=how)
            _, texts, _, _ = reader.detectAndDecodeMulti(sized)
            if found := tuple(dict.fromkeys(filter(None, texts))):
                return found
    return ()
