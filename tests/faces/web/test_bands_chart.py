"""The picture of the bands: where its lines stand, what it says to who cannot see it."""

import io
import re

import numpy as np
import pytest
from svgelements import SVG, Circle, Polygon, SimpleLine
from written_out import IMPERIAL, METRIC

from tapewright.faces.web.bands_chart import Frame, fan
from tapewright.services.calibrate import Bands, GroupCheck
from tapewright.services.look_up_marks import SeenGroup

TOLERANCE_M = 0.0762
DISTANCES_M = np.arange(10.0, 101.0, 5.0)


def bands(half_m):
    half = np.broadcast_to(half_m, DISTANCES_M.shape).astype(float)
    marks = np.zeros_like(DISTANCES_M)
    return Bands(0.9, DISTANCES_M, marks, marks, marks, -half, half)


def dot(name, distance_m, up_m, half_m, *, is_odd):
    check = GroupCheck(name, distance_m, 0.031, 3, 0.004, up_m, surprise=0.2, is_odd=is_odd)
    return SeenGroup(check, pin=1, half_up_m=half_m)


def frame(trusted_m=60.0, sight_ends_m=None, units=METRIC):
    return Frame(units, TOLERANCE_M, trusted_m, sight_ends_m)


def read(svg, kind):
    text = str(svg).replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ')
    found = SVG.parse(io.StringIO(text)).elements()
    return [one for one in found if isinstance(one, kind)]


def classed(svg, name):
    return [one for one in read(svg, SimpleLine) if one.values.get("class") == name]


GROWING = TOLERANCE_M * DISTANCES_M / 60.0  # reaches the tolerance at 60 m


def test_the_band_crosses_the_tolerance_at_the_trusted_distance():
    picture = fan(bands(GROWING), (), frame())
    (area,) = read(picture, Polygon)
    upper = min(one.y1 for one in classed(picture, "tolerance"))
    (line,) = classed(picture, "trusted")
    at_trust = [point.y for point in area.points if abs(point.x - line.x1) < 0.2]
    assert min(at_trust) == pytest.approx(upper, abs=0.2)  # tenths of a unit are written


def test_the_aim_is_halfway_between_the_tolerances():
    picture = fan(bands(0.01), (), frame())
    (aim,) = classed(picture, "aim")
    ends = [one.y1 for one in classed(picture, "tolerance")]
    assert sum(ends) / 2.0 == pytest.approx(aim.y1, abs=0.1)


def test_a_high_group_stands_above_the_aim_and_an_odd_one_is_named():
    dots = (
        dot("1", 20.0, 0.02, 0.01, is_odd=False),
        dot("2<b>", 40.0, -0.03, 0.01, is_odd=True),
        dot("3", 40.0, float("nan"), float("inf"), is_odd=False),
    )
    picture = fan(bands(0.01), dots, frame())
    (circle,) = read(picture, Circle)
    (aim,) = classed(picture, "aim")
    assert circle.cy < aim.y1
    assert picture.count('class="odd"') == 1
    assert "2&lt;b&gt;" in picture
    assert "<b>" not in picture
    assert "Group 1 at 20 m: 2.0 cm high" in picture
    assert "Group 2&lt;b&gt; at 40 m: 3.0 cm low" in picture
    assert "not fitting: 2&lt;b&gt;." in picture


def test_everything_stays_inside_the_picture():
    wild = (
        dot("1", 20.0, 9.0, 99.0, is_odd=False),
        dot("2", 30.0, -9.0, float("inf"), is_odd=True),
    )
    for half_m in (0.0, 50.0, GROWING):
        picture = str(fan(bands(half_m), wild, frame(sight_ends_m=80.0)))
        assert not re.search(r"nan|inf", picture)
        assert '<clipPath id="fan-frame"><rect x="34" y="24" width="316" height="208"/>' in picture
        assert picture.count('<polygon class="band" clip-path="url(#fan-frame)"') == 1


def test_a_band_past_the_frame_is_cut_off_and_not_drawn_along_it():
    picture = str(fan(bands(GROWING), (), frame()))
    points = re.findall(r'points="([^"]+)"', picture)[0].split()
    upper_y = [float(one.split(",")[1]) for one in points[: len(points) // 2]]
    assert upper_y == sorted(upper_y, reverse=True)
    assert len(set(upper_y)) == len(upper_y)  # no two at one height: it never runs flat
    assert min(upper_y) < 24.0


def test_a_band_that_ends_leaves_a_gap():
    half = np.where((DISTANCES_M > 40.0) & (DISTANCES_M < 60.0), np.nan, 0.02)
    assert len(read(fan(bands(half), (), frame()), Polygon)) == 2
    assert not read(fan(bands(np.nan), (), frame()), Polygon)


def test_the_picture_is_told_in_words():
    told = fan(bands(GROWING), (), frame(units=IMPERIAL))
    assert 'role="img" aria-labelledby="fan-title fan-desc"' in told
    assert "against a tolerance of 3 in. They stay inside it up to 66 yd." in told
    assert "They do not stay inside it." in fan(bands(1.0), (), frame(trusted_m=0.0))
    assert "the sight ends" in fan(bands(0.1), (), frame(sight_ends_m=80.0))
    assert "trusted to" in fan(bands(0.1), (), frame())


def test_no_colour_and_no_style_is_fixed():
    picture = fan(bands(GROWING), (), frame())
    assert "style=" not in picture
    assert "fill=" not in picture
