"""Codes in a picture are read, as somebody else's library drew them (segno)."""

import io

import numpy as np
import pytest
import segno
from PIL import Image

from tapewright.ground.errors import MissingExtra
from tapewright.photograph import codes
from tapewright.photograph.codes import read_codes
from tapewright.photograph.picture import Picture

TEXT = "TAPEWRIGHT:2/3:1a2b3c4d:d:" + "aZ9-_kQ3xW" * 16


def drawn(text, scale):
    """A picture of a code on grey ground."""
    written = io.BytesIO()
    segno.make(text, error="m", micro=False).save(written, kind="png", scale=scale, border=4)
    code = np.asarray(Image.open(written).convert("RGB"))
    page = np.full((code.shape[0] + 200, code.shape[1] + 320, 3), 120, np.uint8)
    page[90 : 90 + code.shape[0], 150 : 150 + code.shape[1]] = code
    return Picture(page)


@pytest.mark.parametrize("turns", [0, 1, 2])
def test_a_code_is_read_however_it_is_turned(turns):
    picture = drawn(TEXT, 6)
    assert read_codes(Picture(np.ascontiguousarray(np.rot90(picture.pixels, turns)))) == (TEXT,)


def test_two_codes_of_one_picture_are_read_and_one_twice_is_one():
    one, other = (drawn(f"{name}:{TEXT[:40]}", 7).pixels for name in ("one", "other"))
    high = max(one.shape[0], other.shape[0])
    both = np.full((high, one.shape[1] + other.shape[1], 3), 120, np.uint8)
    both[: one.shape[0], : one.shape[1]] = one
    both[: other.shape[0], one.shape[1] :] = other
    assert sorted(read_codes(Picture(both))) == [f"one:{TEXT[:40]}", f"other:{TEXT[:40]}"]


def test_a_picture_without_a_code_says_nothing():
    assert read_codes(Picture(np.full((400, 500, 3), 120, np.uint8))) == ()


def test_without_the_library_it_is_said_how_to_add_it(monkeypatch):
    def missing():
        raise MissingExtra("Reading a photograph", "photo")

    monkeypatch.setattr(codes, "vision", missing)
    with pytest.raises(MissingExtra, match="photograph"):
        read_codes(Picture(np.zeros((400, 500, 3), np.uint8)))
