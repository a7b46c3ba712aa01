import io
from dataclasses import replace

import cv2
import numpy as np
import pytest
from PIL import Image

from tapewright.ground.errors import BadInput
from tapewright.photograph.drawn_on import annotated
from tapewright.photograph.marks import FoundMark, find_marks
from tapewright.photograph.picture import Picture
from tapewright.photograph.propose import PrintedSheet, check_readable, check_sharp, propose
from tapewright.photograph.spots import Spot
from tapewright.photograph.straighten import straighten, straighten_by_taps

HOLE = (200, 0, 120)  # how a hole is drawn: red, green, blue
SHAFT = (0, 90, 220)  # how a shaft is drawn

VIEW = (-97.0, -140.5, 97.0, 140.5)
SEARCH = (-95.0, -118.0, 95.0, 118.0)


def holes(page, places, grey=80):
    for x_mm, y_mm in places:
        at = (round((x_mm + 105.0) * 96.0), round((y_mm + 148.5) * 96.0))
        cv2.circle(page, at, round(2.6 * 96.0), (grey,) * 3, -1, cv2.LINE_AA, 4)


def test_a_picture_becomes_impacts_right_and_up_of_the_aim(coloured, printed):
    holes(coloured, [(20.0, -40.0), (-30.0, 15.0)])
    picture = Picture(coloured)
    way = straighten(picture, printed, find_marks(picture, range(4)))
    reading = propose(picture, PrintedSheet("A4", printed, VIEW, SEARCH), way, 5.9e-3)
    places = sorted((one.right_m, one.up_m) for one in reading.proposals)
    wanted = [(-0.030, -0.015), (0.020, 0.040)]
    assert np.abs(np.array(places) - wanted).max() < 0.3e-3  # drawn to a sixth of a millimetre
    assert (reading.sheet, reading.marks, reading.shaft_m) == ("A4", 4, 5.9e-3)
    assert reading.error_mm < 0.3
    # a hole's middle is off by 0.8 mm, where a shaft goes in by 2.5, and straightening adds to it
    assert replace(reading, error_mm=0.6).place_error_mm == pytest.approx(1.0)
    shaft = replace(reading.proposals[0], kind="shaft")
    of_shaft = replace(reading, error_mm=6.0, proposals=(shaft,))
    assert of_shaft.place_error_mm == pytest.approx(6.5)
    assert reading.px_mm == 0.2
    for content in (reading.straight_jpeg, reading.annotated_jpeg):
        with Image.open(io.BytesIO(content)) as image:
            assert image.size == (reading.wide, reading.high) == (970, 1405)
            assert "exif" not in image.info
    straight = np.array(Image.open(io.BytesIO(reading.straight_jpeg)).convert("L"))
    row, column = reading.aim_y - 40.0 / 0.2, reading.aim_x + 20.0 / 0.2
    assert straight[int(row), int(column)] < 120 < straight[int(row), int(column) + 30]


def test_nothing_is_looked_for_on_marks_and_outside_the_search(coloured, printed):
    holes(coloured, [(0.0, -130.0), (60.0, 0.0)])
    picture = Picture(coloured)
    way = straighten(picture, printed, find_marks(picture, range(4)))
    reading = propose(picture, PrintedSheet("A4", printed, VIEW, SEARCH), way)
    assert len(reading.proposals) == 1
    assert reading.shaft_m == 6.5e-3


def test_unsure_places_are_refused(coloured):
    picture = Picture(coloured)
    corners = np.array([(600.0, 800.0), (640.0, 800.0), (640.0, 840.0), (600.0, 840.0)])
    way = straighten_by_taps(picture, corners, 2000.0, 2000.0)
    window = (-1000.0, -1000.0, 1000.0, 1000.0)
    with pytest.raises(BadInput, match="unsure by"):
        propose(picture, PrintedSheet("x", (), window, window, has_aiming_mark=False), way)


def test_soft_marks_are_refused_and_no_marks_are_not_its_business():
    check_sharp((), 17.6)
    corners = np.zeros((4, 2))
    check_sharp([FoundMark(0, corners, 0.05)], 17.6)
    with pytest.raises(BadInput, match=r"blurred: edges of the marks are 3\.5 mm soft"):
        check_sharp([FoundMark(0, corners, 0.2)], 17.6)


def test_a_picture_without_any_edge_is_blurred(coloured, soften):
    check_readable(Picture(coloured))
    with pytest.raises(BadInput, match=r"sharpest edges are .* pixels wide"):
        check_readable(Picture(soften(coloured, 12.0)))


def test_people_see_a_circle_around_each_spot():
    flat = np.full((300, 300, 3), 240, np.uint8)
    spots = (Spot(10.0, 0.0, "hole", 0.9), Spot(-10.0, -10.0, "shaft", 0.6))
    drawn = annotated(flat, spots, (150.0, 150.0), 0.2, 6.0)
    assert tuple(drawn[150, 200 + 18]) == HOLE
    assert tuple(drawn[100, 100 + 18]) == SHAFT
    assert (flat == 240).all()
