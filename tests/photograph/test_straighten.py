import cv2
import numpy as np
import pytest

from tapewright.ground.errors import BadInput
from tapewright.photograph.marks import FoundMark
from tapewright.photograph.picture import Picture
from tapewright.photograph.straighten import (
    camera_foot_mm,
    flat_view,
    straighten,
    straighten_by_taps,
)

BLANK = Picture(np.full((1500, 2000, 3), 200, np.uint8))
PLACES = np.array([(0.0, 0.0), (70.0, -100.0), (-60.0, 90.0), (80.0, 110.0)])


def camera(tilt_deg=25.0, lens=0.02, away=420.0, focal=1700.0, axis=(0.8, 0.6, 0.0)):
    """Where a pinhole with one term of distortion shows places, written down afresh."""
    turn = cv2.Rodrigues(np.radians(tilt_deg) * np.array(axis))[0]

    def pixels(places_mm):
        space = np.column_stack([places_mm, np.zeros(len(places_mm))]) @ turn.T + [0, 0, away]
        flat = focal * space[:, :2] / space[:, 2:]
        square = (flat**2).sum(axis=1, keepdims=True) / (999.5**2 + 749.5**2)
        return [999.5, 749.5] + flat * (1.0 + lens * square)

    foot = turn.T @ [0, 0, -away]
    return pixels, foot[:2]


def found(pixels, printed, noise=0.0):
    rng = np.random.default_rng(3)
    return [
        FoundMark(m.number, pixels(m.corners_mm) + noise * rng.standard_normal((4, 2)), 0.03)
        for m in printed
    ]


@pytest.mark.parametrize("tilt_deg", [0.0, 10.0, 25.0, 40.0])
@pytest.mark.parametrize("lens", [-0.03, 0.0, 0.03])
def test_every_place_is_where_a_camera_shows_it(printed, tilt_deg, lens):
    pixels, _ = camera(tilt_deg, lens)
    way = straighten(BLANK, printed, found(pixels, printed))
    assert np.abs(way.pixels(PLACES) - pixels(PLACES)).max() < 0.1
    assert (
        np.abs(way.places_mm(pixels(PLACES)) - PLACES).max() < 0.03
    )  # a lens held by what is usual
    assert np.abs(way.places_mm(way.pixels(PLACES)) - PLACES).max() < 1e-4


@pytest.mark.parametrize("curl_mm", [-10.0, 4.0, 10.0])
@pytest.mark.parametrize("way", [0, 1])
def test_a_curled_sheet_is_bent_back(printed, curl_mm, way):
    """Rolled about a line, its middle 10 mm off its sides: as a pinhole shows it, without noise and
    with that of a corner found to 0.1 pixel."""
    turn = cv2.Rodrigues(np.radians(25.0) * np.array([0.8, 0.6, 0.0]))[0]
    side = (105.0, 148.5)[way]

    def pixels(places_mm):
        off = -curl_mm * (1.0 - (places_mm[:, way] / side) ** 2)
        space = np.column_stack([places_mm, off]) @ turn.T + [0.0, 0.0, 420.0]
        return [999.5, 749.5] + 1700.0 * space[:, :2] / space[:, 2:]

    straight = straighten(BLANK, printed, found(pixels, printed))
    off_mm = np.hypot(*(straight.places_mm(pixels(PLACES)) - PLACES).T)
    assert off_mm.max() < 0.35
    assert np.abs(straight.places_mm(straight.pixels(PLACES)) - PLACES).max() < 1e-3
    noisy = straighten(BLANK, printed, found(pixels, printed, 0.1))
    off_mm = np.hypot(*(noisy.places_mm(pixels(PLACES)) - PLACES).T)
    assert off_mm.max() < 1.0  # a flat sheet's fit is off by 2 mm and more
    assert (off_mm < 2.0 * noisy.errors_mm(PLACES)).all()


def test_three_marks_are_enough_but_less_sure(printed):
    pixels, _ = camera()
    four, three = (straighten(BLANK, printed, found(pixels, printed, 0.1)[:n]) for n in (4, 3))
    assert (four.marks, three.marks) == (4, 3)
    assert np.abs(three.places_mm(pixels(PLACES)) - PLACES).max() < 0.6
    assert (three.errors_mm(PLACES) > four.errors_mm(PLACES)).all()


def test_own_errors_hold_what_noise_does(printed):
    """95 % of places lie within the radius said; over 60 pictures of one place, 52 is the least
    that chance allows in a thousand."""
    pixels, _ = camera()
    inside = 0
    for seed in range(60):
        rng = np.random.default_rng(seed)
        marks = [
            FoundMark(m.number, pixels(m.corners_mm) + 0.3 * rng.standard_normal((4, 2)), 0.03)
            for m in printed
        ]
        way = straighten(BLANK, printed, marks)
        place = PLACES[1:2]
        off = np.hypot(*(way.places_mm(pixels(place)) - place)[0])
        inside += off <= way.errors_mm(place)[0]
    assert inside >= 52


@pytest.mark.parametrize(
    ("count", "words"), [(0, "no mark"), (1, "only one mark"), (2, "only two marks can be read")]
)
def test_fewer_than_three_marks_are_refused(printed, count, words):
    pixels, _ = camera()
    with pytest.raises(BadInput, match=f"{words}.*three are needed"):
        straighten(BLANK, printed, found(pixels, printed)[:count])


def test_a_mark_astray_is_left_out_and_a_twin_refused(printed):
    pixels, _ = camera()
    marks = found(pixels, printed)
    stray = FoundMark(3, marks[3].corners + np.array([160.0, -90.0]), 0.03)
    way = straighten(BLANK, printed, [*marks[:3], stray])
    assert way.marks == 3
    with pytest.raises(BadInput, match="two targets"):
        straighten(BLANK, printed, [*marks, stray])
    other = FoundMark(77, marks[0].corners, 0.03)
    assert straighten(BLANK, printed, [*marks, other]).marks == 4


def test_marks_on_one_line_are_refused(printed):
    flat = [
        FoundMark(m.number, np.column_stack([np.arange(4.0), np.zeros(4)]), 0.0) for m in printed
    ]
    with pytest.raises(BadInput):
        straighten(BLANK, printed, flat)


def test_four_taps_do_instead_of_marks():
    pixels, _ = camera(lens=0.0)
    corners = np.array([(-100.0, -75.0), (100.0, -75.0), (100.0, 75.0), (-100.0, 75.0)])
    way = straighten_by_taps(BLANK, pixels(corners), 200.0, 150.0)
    inner = PLACES * 0.6
    assert np.abs(way.places_mm(pixels(inner)) - inner).max() < 0.01
    assert 0.3 < way.errors_mm(inner).max() < 3.0  # a finger is worse than a corner
    assert way.marks == 0
    for order in ([0, 1, 3, 2], [1, 0, 3, 2]):
        with pytest.raises(BadInput, match="do not go round"):
            straighten_by_taps(BLANK, pixels(corners)[order], 200.0, 150.0)


def test_the_foot_of_the_camera_is_found(printed):
    for tilt_deg in (15.0, 25.0, 40.0):
        pixels, foot = camera(tilt_deg)
        way = straighten(BLANK, printed, found(pixels, printed))
        assert np.hypot(*(np.array(camera_foot_mm(way)) - foot)) < 0.1 * np.hypot(*foot)


@pytest.mark.parametrize("px_mm", [0.2, 1.2])
def test_the_flat_view_shows_each_place_where_it_belongs(printed, px_mm):
    pixels, _ = camera(lens=0.0)
    picture = np.full((1500, 2000, 3), 220, np.uint8)
    for place in PLACES[:3]:
        disc = place + 5.0 * np.column_stack(
            [np.cos(np.linspace(0, 6.28, 60)), np.sin(np.linspace(0, 6.28, 60))]
        )
        cv2.fillPoly(picture, [np.round(pixels(disc)).astype(np.int32)], (30, 30, 30))
    way = straighten(BLANK, printed, found(pixels, printed))
    flat = flat_view(Picture(picture), way, (-90.0, -120.0, 90.0, 120.0), px_mm)
    assert flat.shape == (round(240 / px_mm), round(180 / px_mm), 3)
    dark = (flat[..., 0] < 120).astype(np.uint8)
    _, _, _, middles = cv2.connectedComponentsWithStats(dark)
    there = (middles[1:] + 0.5) * px_mm - [90.0, 120.0]
    for place in PLACES[:3]:
        # discs are drawn to whole pixels, 0.25 mm of paper each
        assert np.hypot(*(there - place).T).min() < 0.5


def test_three_marks_that_disagree_are_refused(printed):
    pixels, _ = camera()
    marks = found(pixels, printed)[:3]
    twisted = FoundMark(2, marks[2].corners[[2, 3, 0, 1]], 0.03)  # as a turned sheet would show it
    with pytest.raises(BadInput, match="do not lie on one flat sheet"):
        straighten(BLANK, printed, [*marks[:2], twisted])


def test_a_fit_that_is_stopped_early_still_answers(printed, monkeypatch):
    from tapewright.photograph import straighten as room

    monkeypatch.setattr(room, "ROUNDS", 1)
    pixels, _ = camera()
    way = straighten(BLANK, printed, found(pixels, printed))
    assert np.abs(way.places_mm(pixels(PLACES)) - PLACES).max() < 0.5
