from dataclasses import replace

import pytest
from written_out import IMPERIAL, METRIC

from tapewright.calibration.rig import Arrow, Belief, Rig, Sight
from tapewright.ground.errors import BadShots
from tapewright.reading.shots_reader import read_shots
from tapewright.reading.shots_writer import shots_text

RIG = Rig(
    "Heron",
    arrow=Arrow(Belief(0.027), 6e-3),
    sight=Sight(pins_below_first_m=(Belief(9e-3),)),
)
PLAIN = (
    "group,distance_yd,reading_mm,right_in,up_in\nnear,20,16.1,0.5,-0.6\nnear,20,16.1,0.18,0.07\n"
)
RICH = (
    "group,distance_yd,reading_mm,right_in,up_in,pin,slope_deg,temperature_c,crosswind_mps,arrows,"
    "note\n"
    "a,60,31.37,1.25,,2,12.5,3.5,-1.5,,\n"
    "b,41.5,30,,,,,,,3,\n"
    "c,70,55.4,-0.333,2.1,,,,,4,\n"
    "d,80,60,1,2,,,,,,\n"
    "d,80,60,11,-20,,,,,,bad\n"
    "e,90,70,,,,,,,2,missed\n"
)

TURNED = (
    "group,distance_yd,reading_mm,up_in,session,windage_mm,windage_clicks,distances\n"
    "a,20,16.1,0.5,evening 1,-1.35,,range finder\n"
    "b,30,19.25,0.5,evening 1,0,,tape\n"
    "c,40,24,0.25,,,-12,\n"
    "d,50,30,0.25,,,,paces\n"
)
SEASON = (
    "group,distance_yd,reading_mm,right_in,up_in,date,arrow,head\n"
    "a,20,16.1,0.5,-0.6,2026-05-14,7,\na,20,16.1,0.18,0.07,2026-05-14,B 2,\n"
    "b,20,16.1,0,1,,,Broadhead\nc,20,16.1,0,1,,,field\n"
)
HIGH = "distance_yd,reading_mm,temperature_c,altitude_ft,pressure_hpa\n60,31,,5000,\n70,40,3,,790\n"


@pytest.mark.parametrize("units", [IMPERIAL, METRIC])
@pytest.mark.parametrize("text", [PLAIN, RICH, HIGH, TURNED, SEASON])
def test_what_is_written_reads_as_it_was(text, units):
    wanted, _ = read_shots(text, rig=RIG)
    found, _ = read_shots(shots_text(wanted, units), rig=RIG)
    assert len(found) == len(wanted)
    for one, other in zip(wanted, found, strict=True):
        assert other.group.name == one.group.name
        assert other.distance_m == pytest.approx(one.distance_m, rel=1e-9)
        assert other.reading_m == pytest.approx(one.reading_m, rel=1e-9)
        assert (other.pin, other.air) == (
            one.pin,
            pytest.approx(one.air) if not one.air else other.air,
        )
        assert other.slope_rad == pytest.approx(one.slope_rad, rel=1e-9)
        assert other.crosswind_mps == pytest.approx(one.crosswind_mps, rel=1e-9)
        for name in ("session", "windage_m", "windage_clicks", "distances", "date", "head"):
            assert getattr(other, name) == pytest.approx(getattr(one, name))
        assert (one.air is None) == (other.air is None)
        if one.air is not None:
            assert other.air.temperature_k == pytest.approx(one.air.temperature_k)
            assert other.air.pressure_pa == pytest.approx(one.air.pressure_pa, rel=1e-9)
        for hit, again in zip(one.group.impacts, other.group.impacts, strict=True):
            assert (again.arrows, again.called_bad) == (hit.arrows, hit.called_bad)
            assert (again.missed, again.arrow) == (hit.missed, hit.arrow)
            for axis in ("right_m", "up_m"):
                there, here = getattr(hit, axis), getattr(again, axis)
                assert (there is None) == (here is None)
                assert there is None or here == pytest.approx(there, rel=1e-9)


def test_what_is_said_of_windage_and_distances_is_read():
    first, second, third, last = read_shots(TURNED)[0]
    assert (first.session, first.windage_m, first.distances) == (
        "evening 1",
        -0.00135,
        "range finder",
    )
    assert (second.windage_m, second.windage_clicks, second.distances) == (0.0, None, "tape")
    assert (third.session, third.windage_m, third.windage_clicks) == ("", None, -12.0)
    assert (third.distances, last.distances) == ("", "paces")
    assert shots_text((second,), IMPERIAL).splitlines() == [
        "group,distance_yd,reading_mm,right_in,up_in,session,windage_mm,distances",
        "b,30,19.25,,0.5,evening 1,0,tape",
    ]


def test_the_day_what_stands_on_each_arrow_and_its_point_are_read():
    first, other, third = read_shots(SEASON)[0]
    assert (first.date, other.date) == ("2026-05-14", "")
    assert (first.head, other.head, third.head) == ("", "broadhead", "field")
    apart = "distance_yd,reading_mm,up_in,head\n20,16,1,field\n20,16,2,broadhead\n20,16,1,\n"
    assert [one.head for one in read_shots(apart)[0]] == ["field", "broadhead", ""]
    with pytest.raises(BadShots, match=r"column head: .*none of the words for head.*broadhead"):
        read_shots("distance_yd,reading_mm,head\n20,16,blunt\n")
    assert [hit.arrow for hit in first.group.impacts] == ["7", "B 2"]


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ("a,20,16,1,2,14.5.2026,,1", "line 2, column date: .* is no day of the calendar"),
        ("a,20,16,1,2,2026-02-30,,1", "column date"),
        ("a,20,16,1,2,20260514,,1", "column date"),
        ("a,20,16,1,2,,7,3", "column arrow: this row stands for 3 arrows"),
        ("a,20,16,,,,7,", "column arrow: this row stands for 3 arrows"),
    ],
)
def test_a_day_that_is_none_and_an_arrow_that_is_several_are_refused(row, told):
    heads = "group,distance_yd,reading_mm,right_in,up_in,date,arrow,arrows"
    with pytest.raises(BadShots, match=told):
        read_shots(f"{heads}\n{row}\n")


def test_only_needed_columns_are_written():
    shots, _ = read_shots(PLAIN)
    assert shots_text(shots, IMPERIAL).splitlines()[0] == PLAIN.splitlines()[0]
    text = shots_text(shots, METRIC)
    assert text.splitlines()[0] == "group,distance_m,reading_mm,right_cm,up_cm"


def test_names_with_commas_survive():
    shots, _ = read_shots(PLAIN)
    named = tuple(replace(one, group=replace(one.group, name='near, "first"')) for one in shots)
    again, _ = read_shots(shots_text(named, IMPERIAL))
    assert again[0].group.name == 'near, "first"'
