import cv2
import numpy as np
import pytest

from tapewright.ground.errors import BadInput
from tapewright.photograph.lying_on import lying_on
from tapewright.photograph.spots import find_spots

PX_MM = 0.2
WIDE, HIGH = 900, 1000
AIM = (449.5, 499.5)


def sheet(mark_mm=0.0):
    page = np.full((HIGH, WIDE, 3), 225, np.uint8)
    for step in range(0, WIDE, 63):
        page[:, step : step + 2] = 150
        page[step : step + 2] = 150
    if mark_mm:
        y, x = np.mgrid[0:HIGH, 0:WIDE]
        away = (np.abs(x - AIM[0]) + np.abs(y - AIM[1])) * PX_MM
        page[(away < mark_mm) & (away > 0.55 * mark_mm)] = 35
    return page


def disc(page, x_mm, y_mm, diameter_mm=5.0, grey=80):
    at = (round((x_mm / PX_MM + 450) * 16), round((y_mm / PX_MM + 500) * 16))
    cv2.circle(page, at, round(diameter_mm / PX_MM * 8), (grey,) * 3, -1, cv2.LINE_AA, 4)


def streak(page, start, end, wide_mm=6.0, colour=(60, 60, 60)):
    ends = [
        tuple(round(v / PX_MM + o) for v, o in zip(p, (450, 500), strict=True))
        for p in (start, end)
    ]
    cv2.line(page, *ends, colour, round(wide_mm / PX_MM), cv2.LINE_AA)


def spots(page, diameter_mm=6.0, foot=None, aim=AIM, leave=None):
    noisy = np.clip(page + np.random.default_rng(5).normal(0.0, 3.0, page.shape), 0, 255).astype(
        np.uint8
    )
    field = lying_on(cv2.GaussianBlur(noisy, (0, 0), 1.0), PX_MM, aim, diameter_mm)
    if leave:
        field[leave] = -1.0
    return find_spots(field, PX_MM, (-90.0, -100.0), diameter_mm, foot)


@pytest.mark.parametrize("mark_mm", [0.0, 20.0, 36.0])
def test_a_bare_sheet_has_no_spots(mark_mm):
    assert spots(sheet(mark_mm)) == ()
    assert spots(sheet(mark_mm), aim=None if not mark_mm else AIM) == ()


def test_holes_are_found_where_they_are():
    page = sheet(30.0)
    wanted = [(10.0, 50.0), (-40.0, -30.0), (3.0, 2.0), (60.0, -70.0)]
    for place in wanted:
        disc(page, *place)
    found = spots(page)
    assert len(found) == 4
    for x_mm, y_mm in wanted:
        near = min(np.hypot(one.x_mm - x_mm, one.y_mm - y_mm) for one in found)
        assert near < 0.25
    assert {one.kind for one in found} == {"hole"}
    assert all(0.5 < one.confidence <= 1.0 for one in found)


def test_a_hole_is_found_where_the_aiming_mark_is_gone():
    page = sheet()
    disc(page, 10.0, 50.0)
    assert [(round(one.x_mm), round(one.y_mm)) for one in spots(page, aim=AIM)] == [(10, 50)]


def test_holes_in_the_aiming_mark_are_found_by_their_fibres():
    page = sheet(36.0)
    for place in ((20.0, -8.0), (-14.0, 14.0)):
        disc(page, *place, 6.4, 190)
        disc(page, *place, 5.0, 40)
    found = spots(page)
    assert len(found) == 2
    assert min(np.hypot(one.x_mm - 20.0, one.y_mm + 8.0) for one in found) < 1.0


def test_holes_that_touch_are_two():
    page = sheet()
    disc(page, 20.0, 20.0)
    disc(page, 26.0, 20.0)
    assert len(spots(page, aim=None)) == 2


def test_specks_patches_and_the_plumb_lines_ends_are_no_holes():
    page = sheet()
    disc(page, 30.0, 30.0, 1.5)  # a speck
    disc(page, -30.0, 30.0, 16.0)  # a patch
    disc(page, 0.0, -70.0, 3.9)  # a bob, blurred
    assert spots(page, aim=None) == ()


BLACK, BROWN, WHITE = 33, 165, 228


def tape(page, x_mm, y_mm, grey, *, wide_mm=18.0, long_mm=26.0, turned=20.0):
    middle = (x_mm / PX_MM + 450, y_mm / PX_MM + 500)
    box = cv2.boxPoints((middle, (long_mm / PX_MM, wide_mm / PX_MM), turned))
    cv2.fillPoly(page, [np.round(box * 16).astype(np.int32)], (grey,) * 3, cv2.LINE_AA, 4)


@pytest.mark.parametrize("grey", [BLACK, BROWN, WHITE])
@pytest.mark.parametrize("place", [(50.0, 40.0), (20.0, 20.0), (-27.0, 8.0), (0.0, 31.0)])
def test_tape_over_old_holes_is_no_impact(grey, place):
    page = sheet(36.0)  # on paper, across the aiming mark, along it, on its corner
    tape(page, *place, grey)
    assert spots(page) == ()


def test_holes_in_tape_beside_it_and_on_free_ink_are_impacts():
    page = sheet(36.0)
    tape(page, 50.0, 40.0, BROWN)
    tape(page, -50.0, 40.0, BLACK)
    tape(page, 21.0, 21.0, WHITE)
    wanted = [(-70.0, 40.0), (-13.0, -13.0), (25.0, 21.0), (49.0, 41.0)]
    for x_mm, y_mm in wanted:
        disc(page, x_mm, y_mm, diameter_mm=6.0, grey=225)  # fibres
        disc(page, x_mm, y_mm, grey=80)
    found = sorted((one.x_mm, one.y_mm) for one in spots(page))
    np.testing.assert_allclose(found, wanted, atol=0.4)


def test_a_shaft_is_where_it_goes_in_not_where_it_ends():
    page = sheet()
    streak(page, (20.0, 30.0), (70.0, 60.0), colour=(200, 40, 40))
    (one,) = spots(page, foot=(-80.0, -30.0), aim=None)
    assert one.kind == "shaft"
    assert np.hypot(one.x_mm - 20.0, one.y_mm - 30.0) < 1.0
    beyond = spots(page, foot=(150.0, 110.0), aim=None)  # then the other end is the near one
    assert np.hypot(beyond[0].x_mm - 70.0, beyond[0].y_mm - 60.0) < 1.0
    assert len(spots(page, aim=None)) == 1  # without the camera's foot: the surer end


def test_what_lies_along_a_shaft_is_no_impact():
    page = sheet()
    streak(page, (20.0, 30.0), (70.0, 60.0))
    disc(page, 45.0, 45.0, 9.0, 60)
    found = spots(page, foot=(-80.0, -30.0), aim=None)
    assert len(found) == 1


def test_holes_behind_a_shaft_and_beside_it_are_impacts():
    page = sheet()
    streak(page, (20.0, 30.0), (70.0, 60.0))
    for place in ((-40.0, -50.0), (5.0, 70.0)):
        disc(page, *place)
    found = spots(page, foot=(-80.0, -30.0), aim=None)
    assert sorted(one.kind for one in found) == ["hole", "hole", "shaft"]
    holes = sorted((one.x_mm, one.y_mm) for one in found if one.kind == "hole")
    assert np.abs(np.array(holes) - [(-40.0, -50.0), (5.0, 70.0)]).max() < 1.0


def test_crowds_and_left_out_places_are_let_go():
    page = sheet()
    disc(page, 40.0, 40.0)
    for angle in np.linspace(0.0, 2.0 * np.pi, 8)[:-1]:
        disc(page, -40.0 + 6.0 * np.cos(angle), 40.0 + 6.0 * np.sin(angle), 5.0)
    disc(page, -40.0, 40.0)
    left = (slice(0, HIGH), slice(550, WIDE))
    assert all(one.x_mm < 0.0 for one in spots(page, aim=None, leave=left))
    assert all(np.hypot(one.x_mm + 40.0, one.y_mm - 40.0) > 3.0 for one in spots(page, aim=None))


def test_a_streak_without_a_beginning_is_left_where_it_was_met():
    from tapewright.photograph.spots import _entry

    place = np.array([50.0, 50.0])
    dark = np.ones((100, 100), np.float32)
    assert (_entry(dark, place, np.array([1.0, 0.0]), 20.0) == place).all()


def test_a_wallpaper_of_dots_is_no_target():
    """Hundreds of spots would be looked at one against the other, for half a minute."""
    y, x = np.mgrid[:1500, :1500]
    field = np.zeros((1500, 1500), np.float32)
    field[np.hypot(x % 60 - 30, y % 60 - 30) < 14] = 1.0  # 625 discs of 28 pixels
    with pytest.raises(BadInput, match="hundreds of spots"):
        find_spots(field, 0.2, (-150.0, -150.0), 6.0, None)
    few = field.copy()
    few[600:] = 0.0  # 250 of them
    assert len(find_spots(few, 0.2, (-150.0, -150.0), 6.0, None)) > 200
