import cv2
import numpy as np
import pytest
from written_out import A4

from tapewright.drawing.camera_marks import camera_mark_shapes, sheet_marks
from tapewright.photograph.marks import PrintedMark

MARK_MM = 17.6  # 8 cells of 2.2 mm

PX = 6.0  # pixels on a millimetre of the drawn sheet


@pytest.fixture
def printed():
    """Marks of a target on A4."""
    return tuple(PrintedMark(m.number, m.x_mm, m.y_mm, MARK_MM) for m in sheet_marks(A4, "in"))


@pytest.fixture
def drawn():
    """A sheet in grey levels, 6 pixels a millimetre, with its four marks; the aim in its middle."""
    page = np.full((1782, 1260), 235, np.uint8)
    for mark in sheet_marks(A4, "in"):
        for box in camera_mark_shapes(mark):
            left, top = (box.x_mm + 105.0) * PX, (box.y_mm + 148.5) * PX
            right, bottom = left + box.width_mm * PX, top + box.height_mm * PX
            page[round(top) : round(bottom), round(left) : round(right)] = 20 + 215 * box.grey
    return page


@pytest.fixture
def coloured(drawn):
    """The same as a picture has it."""
    return cv2.cvtColor(softened(drawn, 1.0), cv2.COLOR_GRAY2RGB)


def softened(page, sd_px):
    """A page out of focus: light is blurred, and grey levels are made of it."""
    light = cv2.GaussianBlur((page.astype(np.float32) / 255.0) ** 2.2, (0, 0), sd_px)
    return np.round(255.0 * light ** (1.0 / 2.2)).astype(np.uint8)


@pytest.fixture
def soften():
    """The blur of a picture out of focus."""
    return softened


def hole(page, x_mm, y_mm, diameter_mm=6.0, grey=90):
    """A disc drawn on a page that other fixtures made."""
    at = (round((x_mm + 105.0) * PX * 16), round((y_mm + 148.5) * PX * 16))
    cv2.circle(page, at, round(diameter_mm / 2.0 * PX * 16), (grey,) * 3, -1, cv2.LINE_AA, 4)
