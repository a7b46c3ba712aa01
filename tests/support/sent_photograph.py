"""Sent photograph: one picture of the printed target with known holes, as people send it.

Holds:  the picture from aside, with where it was taken in its EXIF; where its holes are.
Never:  tests.
"""

import io
import shutil
from functools import cache

import numpy as np
import pytest
from photographs import PX_PER_MM, Sheet, photograph, raster, scene
from PIL import Image

from tapewright.services.print_target import TargetOrder, TargetWords, plan_target, print_target

HOLES_MM = ((-40.0, -30.0), (12.0, 25.0), (45.0, 60.0), (-20.0, 70.0))  # right, down of the aim
CORNERS_MM = ((-95.0, -100.0), (95.0, -100.0), (95.0, 100.0), (-95.0, 100.0))
PLACE = b"Nowhere Range 51.47N"


@cache
def sent_photograph():
    """JPEG bytes, and the pixels of `CORNERS_MM` in it."""
    if not shutil.which("pdftocairo"):
        pytest.skip("pdftocairo is missing: apt-get install poppler-utils")
    ((_, pdf),) = print_target(plan_target(TargetOrder()), TargetWords("Heron", "in"), ("pdf",))
    page = raster(pdf)
    sheet = Sheet(page, (105.0, page.shape[0] / PX_PER_MM / 2.0))
    one = scene(
        7, arrows=0, cover=None, tilt=18.0, blur=0.4, motion=0.0, noise=2.0, wide=1800,
        holes=np.array(HOLES_MM), diameter=5.9, lens=0.0, quality=90, shadow=False,
    )  # fmt: skip
    jpeg, camera = photograph(one, sheet)
    image = Image.open(io.BytesIO(jpeg))
    exif = Image.Exif()
    exif[0x010E] = PLACE.decode()
    told = io.BytesIO()
    image.save(told, "JPEG", quality=92, exif=exif)
    return told.getvalue(), camera.pixel(np.array(CORNERS_MM), aim=sheet.aim)


def nearest_mm(places_mm):
    """How far the nearest of these is from each hole. [mm]"""
    found = np.asarray(places_mm)
    return [float(np.hypot(*(found - hole).T).min()) for hole in HOLES_MM]
