"""The questions of the day, as any face puts them: slopes, weather, wind."""

import numpy as np
import pytest
from exact_units import MPH_MPS
from written_out import IMPERIAL, METRIC

from tapewright.ground.errors import BadInput
from tapewright.questions.question import Said, option
from tapewright.questions.slopes import QUESTION as SLOPES
from tapewright.questions.weather import QUESTION as WEATHER
from tapewright.questions.wind import QUESTION as WIND


def test_slopes_are_taken_up_and_down_hill_once_each(answer):
    found = SLOPES.ask(answer, Said({"slopes": "30°, 10deg,30"}), METRIC)
    assert np.degrees(found.table.slope_rad) == pytest.approx([-30.0, -10.0, 10.0, 30.0])


def test_what_is_not_said_of_the_air_is_as_at_home(answer):
    home = answer.rig.air
    found = WEATHER.ask(answer, Said({"humidity": "30 %"}), METRIC)
    assert (found.air.temperature_k, found.air.pressure_pa) == (
        home.temperature_k,
        home.pressure_pa,
    )
    assert found.air.relative_humidity == pytest.approx(0.3)


@pytest.mark.parametrize(
    ("texts", "words"),
    [
        ({}, "weather: nothing is said of the air away. Add --temperature, --altitude or"),
        (
            {"sea_level_pressure": "1013 hPa"},
            "--sea-level-pressure: it says nothing without the altitude of the place. Add --altit",
        ),
        ({"altitude": "9 km"}, "--altitude: air pressure comes to 308 hPa"),
        ({"temperature": "200 °C"}, "--temperature: air temperature comes to 200 °C"),
    ],
)
def test_air_that_says_nothing_or_too_much_is_refused(answer, texts, words):
    with pytest.raises(BadInput) as refused:
        WEATHER.ask(answer, Said(texts, option), IMPERIAL)
    assert words in str(refused.value)


def test_the_usual_wind_blows_across_unless_another_is_told(answer):
    usual = WIND.ask(answer, Said({}), IMPERIAL)
    assert usual.blown.cross_mps == pytest.approx(10.0 * MPH_MPS)
    assert usual.spot_m == pytest.approx(4 * 0.0254)
    head = WIND.ask(answer, Said({"head": "3 m/s"}), METRIC)
    assert (head.blown.cross_mps, head.blown.head_mps) == (0.0, 3.0)
    with pytest.raises(BadInput, match="no wind blows"):
        WIND.ask(answer, Said({"cross": "0 mph"}), IMPERIAL)
    with pytest.raises(BadInput, match="gale"):
        WIND.ask(answer, Said({"head": "-30 m/s"}), IMPERIAL)
