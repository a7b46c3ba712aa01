"""Read codes: a picture of codes, as a phone shows them, becomes their texts.

Holds:  the errand.
Never:  what the texts mean.
"""

from tapewright.photograph.codes import read_codes
from tapewright.photograph.picture import read_picture

__all__ = ["codes_in"]


def codes_in(content: bytes, name: str) -> tuple[str, ...]:
    """Texts of all codes in a picture's file. BadInput if it is no picture."""
    return read_codes(read_picture(content, name))
