import base64
import json
import struct
from datetime import UTC, datetime

import numpy as np
import pytest
from exact_units import INCH_M, YARD_M
from sessions import group, groups, rig, truth_near
from written_out import IMPERIAL, METRIC

from tapewright.calibration.rig import Belief
from tapewright.faces.offline_pack import Origin, carried_json
from tapewright.services.calibrate import calibrate
from tapewright.services.carry import carry
from tapewright.services.stick_tape import Tape, Ticks, with_tape

GRID_M = np.arange(10, 126) * YARD_M
AT = datetime(2026, 11, 30, 9, 5, 7, 123456, tzinfo=UTC)
PINS = tuple(Belief(4e-3 * pin, 0.2e-3) for pin in (1, 2))
MOST_BYTES = 100_000


@pytest.fixture(scope="module")
def carried():
    sheet = rig(
        {"pins_below_first_m": PINS, "elevation_click_m": 0.05e-3, "travel_ends_m": (0.0, 0.09)}
    )
    truth = truth_near(sheet)
    more = tuple(group(sheet, truth, one * YARD_M, name=f"m{one}") for one in (15, 45))
    return carry(calibrate(sheet, (*groups(sheet, truth), *more), (18.0,), GRID_M), YARD_M)


@pytest.fixture(scope="module")
def pack(carried):
    return carried_json(carried, IMPERIAL, AT, Origin("0123456789abcdef0123", 4, 2))


def test_a_rig_with_three_pins_and_eight_groups_is_less_than_100_kb(pack):
    assert len(json.dumps(pack, separators=(",", ":"), allow_nan=False)) < MOST_BYTES


def test_the_pack_says_where_it_comes_from(pack, carried):
    said = {
        "schema": 1, "kind": "carried rig", "rig": "Heron", "rig_id": "0123456789abcdef0123",
        "rig_number": 4, "setup": 2, "made_at": "2026-11-30T09:05:07+00:00", "unit": "yd",
        "unit_m": 0.9144, "miss": "in",
        "miss_m": 0.0254, "groups": 8, "is_shot": True, "is_settled": True,
        "fingerprint": carried.answer.fingerprint,
    }  # fmt: skip
    assert {key: pack[key] for key in said} == said
    assert carried_json(carried, METRIC, AT)["unit_m"] == 1.0
    assert carried_json(carried, METRIC, AT)["miss_m"] == 0.01
    assert pack["sight"]["up_click_m"] == 0.05e-3
    assert pack["sight"]["far_reading_m"] == 0.09
    assert pack["sight"]["near_reading_m"] == 0.0
    assert pack["sight"]["radius_m"] == pytest.approx(33 * INCH_M)
    assert pack["ladder"]["fitting_m"] == pytest.approx(70 * YARD_M)
    assert pack["tape"] is None
    assert (pack["point"], pack["ladder"]["broadheads"]) == ("field", False)


def test_draws_come_back_from_whole_numbers(pack, carried):
    drawn = pack["draws"]
    raw = base64.b64decode(drawn["base64"])
    whole = np.array(struct.unpack(f"<{len(raw) // 2}h", raw)).reshape(-1, drawn["count"])
    back = (np.array(drawn["middle"])[:, None] + np.array(drawn["step"])[:, None] * whole).T
    draws = carried.draws
    there = np.concatenate([draws.mark_score, draws.gain_score, draws.spread], axis=1)
    assert drawn["marks"] == draws.mark_score.shape[1] == 8  # six and one for each further pin
    assert drawn["gains"] == 3
    assert np.abs(back - there).max() < 1e-3  # of scores whose standard deviation is one


def test_a_tape_on_the_sight_goes_along():
    ticks = Ticks((20 * YARD_M, 40 * YARD_M, 60 * YARD_M), (0.02, 0.031, 0.045))
    tape = Tape("first", "yd", (ticks,), white_m=2e-3)
    sheet = with_tape(rig(), tape)
    found = carry(calibrate(sheet, (), (18.0,), GRID_M), YARD_M)
    said = carried_json(found, IMPERIAL, AT)
    assert said["tape"]["unit"] == "yd"
    assert said["tape"]["white_m"] == 2e-3
    assert said["tape"]["pins"][0]["reading_m"] == [0.02, 0.031, 0.045]
    assert said["tape"]["pins"][0]["distance_m"][1] == pytest.approx(40 * YARD_M)
    assert not said["is_shot"]
    assert said["asks"]  # nothing is known yet of draw weight, rest and arrow
