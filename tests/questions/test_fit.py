import json

import numpy as np
import pytest
from exact_units import INCH_M, YARD_M
from sessions import groups, rig, truth_near
from written_out import IMPERIAL, METRIC

from tapewright.calibration.rig import Belief
from tapewright.questions.fit import QUESTION, calibration_json
from tapewright.services.calibrate import calibrate, pin_bands
from tapewright.services.look_up_marks import FoundMarks


def answer_json(answer, units, further=()):
    return QUESTION.write(FoundMarks(answer, (answer.bands, *further)), units)


SCHEMA = "tapewright.calibration/1"


@pytest.fixture(scope="module")
def answer():
    sheet = rig({"pins_below_first_m": (Belief(9e-3, 0.2e-3),)})
    shots = groups(sheet, truth_near(sheet, windage=5e-4))
    distances = np.array([20.0, 40.0, 60.0]) * YARD_M
    return calibrate(sheet, shots, distances, np.arange(10, 126) * YARD_M)


def test_numbers_are_those_of_the_answer(answer):
    written = answer_json(answer, IMPERIAL)
    assert written["schema"] == SCHEMA == "tapewright.calibration/1"
    assert written["rig"] == "Heron"
    assert written["fingerprint"] == answer.fingerprint
    assert written["trusted_distance_yd"] == pytest.approx(answer.trusted_m[0] / YARD_M)
    for place, one in enumerate(written["marks"]):
        assert one["distance_yd"] == (20, 40, 60)[place]
        assert one["reading_mm"] == pytest.approx(1e3 * answer.bands.reading_m[place], abs=1e-4)
        assert one["low_mm"] < one["reading_mm"] < one["high_mm"]
        assert one["impact_low_in"] < 0 < one["impact_high_in"]
        low_in = answer.bands.impact_low_m[place] / INCH_M
        assert one["impact_low_in"] == pytest.approx(low_in, abs=1e-3)


def test_units_of_unknowns_are_those_of_the_reader(answer):
    imperial = answer_json(answer, IMPERIAL)["unknowns"]
    metric = answer_json(answer, METRIC)["unknowns"]
    assert imperial["launch_speed"]["unit"] == "ft/s"
    assert metric["launch_speed"]["unit"] == "m/s"
    ratio = imperial["launch_speed"]["median"] / metric["launch_speed"]["median"]
    assert ratio == pytest.approx(1 / 0.3048, rel=1e-4)
    assert imperial["drag_coefficient"]["unit"] == ""
    for unknowns in (imperial, metric):
        for one in unknowns.values():
            assert one["low"] <= one["median"] <= one["high"]


def test_dispersion_is_the_mean_square_of_both_axes(answer):
    written = answer_json(answer, METRIC)
    up, right = (written["unknowns"][f"dispersion_{axis}"]["median"] for axis in ("up", "right"))
    assert written["dispersion_mrad"] == pytest.approx(((up**2 + right**2) / 2) ** 0.5, abs=1e-3)


def test_further_pins_come_only_when_handed_in(answer):
    assert "pins" not in answer_json(answer, IMPERIAL)
    written = answer_json(answer, IMPERIAL, (pin_bands(answer, 2),))
    assert [one["pin"] for one in written["pins"]] == [2]
    second = written["pins"][0]["marks"]
    assert second[0]["reading_mm"] < written["marks"][0]["reading_mm"]


@pytest.mark.parametrize("units", [IMPERIAL, METRIC])
def test_it_is_plain_json_without_nan(answer, units):
    text = json.dumps(answer_json(answer, units), allow_nan=False)
    assert json.loads(text)["schema"] == SCHEMA


def test_no_number_is_minus_zero(answer):
    text = json.dumps(answer_json(answer, IMPERIAL, (pin_bands(answer, 2),)))
    assert "-0.0," not in text
    assert "-0.0}" not in text


def test_a_calibration_for_programs_has_all_pins_and_its_stops_first(answer):
    written = calibration_json(answer, METRIC)
    assert list(written)[:2] == ["schema", "stop"]
    assert written["stop"] == []
    assert [one["pin"] for one in written["pins"]] == [2]
