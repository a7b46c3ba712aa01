import pytest

from tapewright.flight.air import Air
from tapewright.ground.errors import BadInput, OutsideValidRange
from tapewright.services.record_groups import (
    Impact,
    bare_mark,
    observe_group,
    refuse_twice,
    repeated_groups,
)

MARK_ARROWS = 3  # what a bare mark is worth; common practice

HERE = Air(288.15, 95_000.0, 0.3)
PLACE = {"distance_m": 30.0, "reading_m": 0.03}


def test_a_bare_mark_hits_the_aim_and_stands_for_several():
    assert bare_mark() == Impact(0.0, 0.0, MARK_ARROWS)
    assert bare_mark(5).arrows == 5


def test_a_group_without_a_temperature_is_shot_in_the_rig_s_own_air():
    assert observe_group("1", [Impact(0.0, 0.0)], **PLACE, air=HERE).air is None


def test_another_temperature_keeps_pressure_and_humidity():
    cold = observe_group("1", [Impact(0.0, 0.0)], **PLACE, temperature_k=263.15, air=HERE).air
    assert (cold.temperature_k, cold.pressure_pa) == (263.15, 95_000.0)
    assert cold.relative_humidity == 0.3
    assert cold.density_kg_m3 > HERE.density_kg_m3


def test_everything_said_arrives():
    seen = observe_group(
        "far", [Impact(0.01, None), Impact(0.02, None)],
        **PLACE, pin=2, slope_rad=0.1, crosswind_mps=-2.0,
    )  # fmt: skip
    assert seen.group.name == "far"
    assert seen.group.arrows == 2
    assert (seen.pin, seen.slope_rad, seen.crosswind_mps) == (2, 0.1, -2.0)


def test_a_temperature_that_nobody_shoots_in_is_refused():
    with pytest.raises(OutsideValidRange):
        observe_group("1", [], **PLACE, temperature_k=500.0)


def test_a_pressure_overrules_an_altitude():
    def air_of(**said):
        return observe_group("1", [Impact(0.0, 0.0)], **PLACE, **said, air=HERE).air

    high = air_of(altitude_m=1500.0)
    assert high.pressure_pa == pytest.approx(84_560.0, abs=5.0)  # ISO 2533, table 1
    assert high.temperature_k == HERE.temperature_k
    read = air_of(altitude_m=1500.0, pressure_pa=90_000.0, temperature_k=280.0)
    assert (read.pressure_pa, read.temperature_k) == (90_000.0, 280.0)
    assert read.relative_humidity == HERE.relative_humidity


# Quarter inches lie on the border of two tenths of a millimetre: a rounding would tell them apart.
IN = 0.0254
HITS = ((0.25, 0.75), (-0.5, 1.25), (1.0, -0.25), (0.0, 0.5))


def offered(name, hits=HITS, **where):
    at = {"distance_m": 18.288, "reading_m": 0.0161} | where
    return observe_group(
        name, [Impact(None if x is None else x * IN, None if y is None else y * IN)
               for x, y in hits], **at,
    )  # fmt: skip


@pytest.mark.parametrize("hits", [
    HITS, HITS[::-1], HITS[:3], HITS[1:],
])  # fmt: skip
def test_the_same_arrows_are_known_by_another_name(hits):
    assert repeated_groups([offered("again", hits)], [offered("once")]) == (("again", "once", ()),)
    with pytest.raises(BadInput, match=r"count already: again \(there as once\)\. .* more finely"):
        refuse_twice([offered("again", hits)], [offered("once")])


def test_arrows_that_come_with_new_ones_are_named():
    grown = [offered("grown", (*HITS, (2.0, 2.0)))]
    assert repeated_groups(grown, [offered("once")]) == (("grown", "once", (0, 1, 2, 3)),)
    told = (
        r"already: grown \(there as once\), arrows 1, 2, 3, 4 of its 5\. Offer only arrows shot "
        r"since, and leave these arrows out; if .* more finely"
    )
    with pytest.raises(BadInput, match=told):
        refuse_twice(grown, [offered("once")])
    mixed = [offered("1", ((0.31, 0.07), (1.02, -0.44), (-0.23, 0.58), (0.66, 0.12)))]
    parts = [offered("1", ((1.02, -0.44), (0.66, 0.12))), offered("2", ((0.31, 0.07), (9.0, 1.0)))]
    with pytest.raises(BadInput, match=r"already: 1, arrows 2, 4 of its 4\. Offer"):
        refuse_twice(mixed, parts)


@pytest.mark.parametrize(
    ("hits", "where"),
    [
        (HITS[:2], {}),  # two arrows may hit alike
        ((*HITS[:2], (1.0, 0.0), (0.0, 0.5)), {}),  # one arrow is another
        (HITS, {"distance_m": 18.31}),
        (HITS, {"reading_m": 0.01612}),
        (HITS, {"pin": 2}),
        (HITS[2::-1], {"slope_rad": 0.0}),  # three of four in another order: a chance too large
        (((0.0, 0.0),) * 4, {}),  # middles that nobody measured
    ],
)
def test_other_arrows_are_taken_in(hits, where):
    before = [offered("once"), offered("middles", ((0.0, 0.0),) * 4)]
    refuse_twice([offered("again", hits, **where)], before)


def test_arrows_without_a_side_are_known_only_in_their_order():
    heights = ((None, 0.25), (None, 0.75), (None, -0.5))
    before = [offered("once", heights)]
    assert repeated_groups([offered("again", heights)], before)
    assert not repeated_groups([offered("again", heights[::-1])], before)


def test_two_honest_groups_with_one_centre_are_taken_in():
    # rounded centres are alike often; each stands for all its arrows
    centre = [Impact(0.0127, -0.00635, 6)]
    at = {"distance_m": 18.288, "reading_m": 0.0161}
    refuse_twice([observe_group("b", centre, **at)], [observe_group("a", centre, **at)])


def test_arrows_offered_twice_at_once_are_found():
    with pytest.raises(BadInput, match=r"count already: 2 \(there as 1\)"):
        refuse_twice([offered("1"), offered("2"), offered("3", HITS[:2])], [])


def test_other_units_and_ways_of_writing_do_not_hide_them():
    mm = observe_group(
        "mm", [Impact(round(x * 25.4, 3) / 1e3, round(y * 25.4, 3) / 1e3) for x, y in HITS],
        distance_m=18.29, reading_m=16.1 / 1e3,
    )  # fmt: skip
    assert repeated_groups([mm], [offered("in", distance_m=20 * 0.9144)]) == (("mm", "in", ()),)
