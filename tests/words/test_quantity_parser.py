"""Quantities: what people type is read as they meant it, and nothing else is read at all."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tapewright.ground.errors import BadInput, UnknownUnit, UnreadableQuantity
from tapewright.ground.units import UNITS
from tapewright.words.quantity_parser import (
    Distances,
    format_quantity,
    format_with_doubt,
    in_unit,
    read_distances,
    read_number,
    read_quantity,
    read_with_doubt,
)
from tapewright.words.unit_spellings import KIND_WORDS, find_unit, quoted, unit_name

# floating point only: a hundred ulp, far below anything an archer can feel
NEARLY = 1e-13

kinds = st.sampled_from(sorted(KIND_WORDS))
units = st.sampled_from(sorted(UNITS))


def close(value):
    return pytest.approx(value, rel=NEARLY, abs=1e-15)


# factors by hand from the definitions: 1 ft = 0.3048 m, 1 in = 25.4 mm, 1 lbf = 4.4482216152605 N
@pytest.mark.parametrize(
    ("text", "kind", "value", "doubt"),
    [
        ("285 ft/s ± 3", "speed", 86.868, 0.9144),
        ("285 ± 3 ft/s", "speed", 86.868, 0.9144),
        ("285 ft/s ± 3 ft/s", "speed", 86.868, 0.9144),
        ("285 ft/s ± 2 %", "speed", 86.868, 1.73736),
        ("285 ft/s ±2percent", "speed", 86.868, 1.73736),
        ("285 ft/s +/- 3", "speed", 86.868, 0.9144),
        ("285 ft/s +- 3", "speed", 86.868, 0.9144),
        ("33 in ± 0.5", "length", 0.8382, 0.0127),
        ("33 in ± 5 mm", "length", 0.8382, 0.005),
        ("30 %", "fraction", 0.3, None),
        ("50 ± 5 %", "fraction", 0.5, 0.05),
        ("50 % ± 5", "fraction", 0.5, 0.05),
        ("2.1 ± 30 %", "number", 2.1, 0.63),
        ("1,60 ± 0,05", "number", 1.6, 0.05),
        ("15 °C", "temperature", 288.15, None),
        ("15°C", "temperature", 288.15, None),
        ("15 º C", "temperature", 288.15, None),
        ("15 °C ± 2", "temperature", 288.15, 2.0),
        ("59 °F ± 9", "temperature", 288.15, 5.0),
        ("59 °F ± 5 K", "temperature", 288.15, 5.0),
        ("0 °C ± 300", "temperature", 273.15, 300.0),
        ("−5 °C", "temperature", 268.15, None),
        ("-5 deg C", "temperature", 268.15, None),
        ("6 1/2 in", "length", 0.1651, None),
        ("6-1/2 in", "length", 0.1651, None),
        ("6½ in", "length", 0.1651, None),
        ("-1/2 in", "length", -0.0127, None),
        ('33"', "length", 0.8382, None),
        ("33″", "length", 0.8382, None),
        ("33 INCHES", "length", 0.8382, None),
        ("6\u2009mm", "length", 0.006, None),
        ("6\u00a0mm", "length", 0.006, None),
        ("1\u202f013,25\u2009hPa", "pressure", 101325.0, None),
        ("1 013 hpa", "pressure", 101300.0, None),
        (".5 m", "length", 0.5, None),
        ("1e2 mm", "length", 0.1, None),
        ("60 lb", "force", 266.89329691563, None),
        ("60#", "force", 266.89329691563, None),
        ("1 lbs", "mass", 0.45359237, None),
        ("36 km/h", "speed", 10.0, None),
        ("36 kmh", "speed", 10.0, None),
    ],
)
def test_what_people_write_means_what_they_mean(text, kind, value, doubt):
    read = read_with_doubt(text, kind, "here")
    assert read[0] == close(value)
    assert read[1] is None if doubt is None else read[1] == close(doubt)


@pytest.mark.parametrize(
    ("text", "kind", "error", "says"),
    [
        ("33 gr", "length", UnknownUnit, ["a mass", "a length", "mm, cm, m, in, ft or yd"]),
        ("15 °", "temperature", UnknownUnit, ["an angle", "a temperature", "°C"]),
        ("33", "length", UnknownUnit, ["no unit", "in"]),
        ("33 inn", "length", UnknownUnit, ['"inn"', 'Did you mean "in"?']),
        ("33 milimetres", "length", UnknownUnit, ['Did you mean "mm"?']),
        ("33 grians", "length", UnknownUnit, ["not a unit", 'Did you mean "grain']),
        ("33 qqqq", "length", UnknownUnit, ["not a unit", "Write a length"]),
        ("285 ± 2 %", "speed", UnknownUnit, ["no unit"]),
        ("33 in ± 2 gr", "length", UnknownUnit, ["a mass"]),
        ("2.1 in", "number", UnknownUnit, ["plain number", '"in"']),
        ("1,013.25 hPa", "pressure", UnreadableQuantity, ["none for thousands"]),
        ("1.2.3 mm", "length", UnreadableQuantity, ["does not start with a number"]),
        ("5 ft 6 in", "length", UnreadableQuantity, ['"ft 6 in"', "where a unit would stand"]),
        ("nan in", "length", UnreadableQuantity, ["does not start with a number"]),
        ("inf in", "length", UnreadableQuantity, ["does not start with a number"]),
        ("1e999 in", "length", UnreadableQuantity, ["too large"]),
        ("1e308 km", "length", UnreadableQuantity, ["too large"]),
        ("", "length", UnreadableQuantity, ["does not start with a number"]),
        ("3/0 in", "length", UnreadableQuantity, ["divides by zero"]),
        ("9" * 100 + " in", "length", UnreadableQuantity, ["too long"]),
        ("10 mm ± 0", "length", UnreadableQuantity, ["not above zero", "two times in three"]),
        ("10 mm ± -1", "length", UnreadableQuantity, ["not above zero"]),
        ("10 mm ± 11", "length", UnreadableQuantity, ["larger than the number"]),
        ("1 ± 2 ± 3 mm", "length", UnreadableQuantity, ["more than one ±"]),
        ("15 °C ± 2 %", "temperature", UnreadableQuantity, ["per cent of a temperature"]),
        ("0 mm ± 2 %", "length", UnreadableQuantity, ["not above zero"]),
        ("٣ mm", "length", UnreadableQuantity, ["does not start with a number"]),
    ],
)
def test_what_cannot_be_meant_is_refused_with_the_mend(text, kind, error, says):
    with pytest.raises(error) as caught:
        read_with_doubt(text, kind, "arrow.length", "28.5 in")
    sentence = str(caught.value)
    assert sentence.startswith("arrow.length: ")
    for words in [*says, "28.5 in"]:
        assert words in sentence


def test_a_single_value_takes_no_doubt():
    assert read_quantity("6.5 in", "length", "here") == close(0.1651)
    with pytest.raises(UnreadableQuantity, match="not used here"):
        read_quantity("6.5 in ± 1", "length", "here")


def test_a_plain_number_takes_no_unit():
    assert read_number("12,5", "here") == close(12.5)
    assert read_number(" 3/4 ", "here") == close(0.75)
    with pytest.raises(UnreadableQuantity, match="plain number"):
        read_number("12.5 mm", "here")


@settings(deadline=None)  # machines may be busy
@given(number=st.floats(1e-6, 1e6), unit=units, negative=st.booleans())
def test_reading_what_was_written_returns_the_value(number, unit, negative):
    value = UNITS[unit].offset + UNITS[unit].factor * (-number if negative else number)
    kind = UNITS[unit].kind
    back = read_quantity(format_quantity(value, unit), kind, "here")
    # twelve figures are written: half a unit in the last, and as much again from the offset
    size = abs(value) + abs(UNITS[unit].offset)
    assert back == pytest.approx(value, abs=1e-11 * size)


@settings(deadline=None)  # machines may be busy
@given(number=st.floats(-1e5, 1e5), decimals=st.integers(0, 6), unit=units)
def test_rounding_loses_at_most_half_the_last_digit(number, decimals, unit):
    value = UNITS[unit].offset + UNITS[unit].factor * number
    back = read_quantity(format_quantity(value, unit, decimals), UNITS[unit].kind, "here")
    assert abs(in_unit(back, unit) - number) <= 0.5 * 10.0**-decimals + 1e-9


@settings(deadline=None)  # machines may be busy
@given(number=st.floats(1, 1e5), share=st.floats(1e-4, 0.9), unit=units)
def test_doubt_survives_writing_and_reading(number, share, unit):
    value = UNITS[unit].offset + UNITS[unit].factor * number
    doubt = UNITS[unit].factor * number * share
    back = read_with_doubt(format_with_doubt(value, doubt, unit), UNITS[unit].kind, "here")
    assert back[1] == pytest.approx(doubt, rel=1e-11)  # twelve figures are written


@settings(deadline=None)  # machines may be busy
@given(number=st.floats(0.01, 1e5), share=st.floats(0.1, 90))
def test_relative_doubt_equals_the_same_in_the_unit(number, share):
    relative = read_with_doubt(f"{number!r} mm ± {share!r} %", "length", "here")
    absolute = read_with_doubt(f"{number!r} mm ± {number * share / 100!r}", "length", "here")
    assert relative[1] == pytest.approx(absolute[1], rel=1e-12)


@pytest.mark.parametrize(
    ("value", "unit", "decimals", "text"),
    [
        (0.0053, "mm", 1, "5.3 mm"),
        (-0.0053, "mm", 1, "−5.3 mm"),
        (-0.00001, "mm", 1, "0.0 mm"),
        (0.0, "mm", None, "0 mm"),
        (288.15, "°C", 0, "15 °C"),
        (2.1, "", None, "2.1"),
        (18.288, "yd", 0, "20 yd"),
    ],
)
def test_values_are_written_as_people_read_them(value, unit, decimals, text):
    assert format_quantity(value, unit, decimals) == text


def test_doubt_is_written_behind_the_unit():
    assert format_with_doubt(86.868, 0.9144, "ft/s", 0) == "285 ft/s ± 3"
    assert format_with_doubt(86.868, None, "ft/s", 0) == "285 ft/s"
    assert format_with_doubt(2.1, 0.63, "", 2) == "2.10 ± 0.63"


def outcome(read, *given_to):
    """What was read, or the sentence that refuses it; any other error passes through."""
    try:
        return read(*given_to)
    except BadInput as bad:
        return str(bad)


@settings(deadline=None)  # machines may be busy
@given(text=st.text(max_size=100), kind=kinds)
def test_random_text_raises_nothing_but_our_own_error(text, kind):
    for read in (read_with_doubt, read_quantity):
        match outcome(read, text, kind, "here"):
            case str(sentence):
                assert sentence.startswith("here: ")
            case (value, _) | value:
                assert math.isfinite(value)


@settings(deadline=None)  # machines may be busy
@given(text=st.text(alphabet="0123456789.,±+-/ eEinmgf%°C", max_size=20), kind=kinds)
def test_almost_quantities_raise_nothing_but_our_own_error(text, kind):
    found = outcome(read_with_doubt, text, kind, "here")
    assert found[:6] == "here: " or math.isfinite(found[0])


@settings(deadline=None)  # machines may be busy
@given(text=st.text(alphabet="0123456789.,:; ydmft", max_size=20))
def test_almost_distances_raise_nothing_but_our_own_error(text):
    match outcome(read_distances, text, "--distances"):
        case str(sentence):
            assert sentence.startswith("--distances: ")
        case found:
            assert sorted(found.distances_m) == list(found.distances_m)
            assert 0.99 < found.distances_m[0] <= found.distances_m[-1] < 201


@pytest.mark.parametrize(
    ("text", "first_m", "last_m", "count", "unit"),
    [
        ("10:125:5yd", 9.144, 114.3, 24, "yd"),
        ("10yd:30yd:10yd", 9.144, 27.432, 3, "yd"),
        ("10 : 12 : 0.5 m", 10.0, 12.0, 5, "m"),
        ("10:14:5 m", 10.0, 10.0, 1, "m"),
        ("20,30,40 m", 20.0, 40.0, 3, "m"),
        ("12,5; 20 m", 12.5, 20.0, 2, "m"),
        ("20 yards", 18.288, 18.288, 1, "yd"),
        ("60 ft, 30 m", 18.288, 30.0, 2, "m"),
    ],
)
def test_distances_are_read_from_near_to_far(text, first_m, last_m, count, unit):
    found = read_distances(text, "--distances")
    assert isinstance(found, Distances)
    assert (found.distances_m[0], found.distances_m[-1]) == (close(first_m), close(last_m))
    assert (len(found.distances_m), found.unit) == (count, unit)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("12,5 m", "near to far"),
        ("20,20 m", "near to far"),
        ("20", "no unit"),
        ("20 gr", "a mass"),
        ("10:20 m", "from:to:step"),
        ("10:20:0 m", "from:to:step"),
        ("20:10:1 m", "from:to:step"),
        ("1:200:0.001 m", "more than 2000"),
        ("1:200:1e-300 m", "more than 2000"),
        ("0.5, 3 m", "1 to 200 m"),
        ("300 m", "1 to 200 m"),
        ("20,,30 m", "number"),
    ],
)
def test_distances_that_cannot_be_meant_are_refused(text, says):
    with pytest.raises(BadInput, match=r"^--distances: ") as caught:
        read_distances(text, "--distances")
    assert says in str(caught.value)
    assert "10:125:5yd" in str(caught.value)


@settings(deadline=None)  # machines may be busy
@given(text=st.text())
def test_quoted_text_fits_on_one_line(text):
    assert len(quoted(text)) <= 42
    assert quoted(text)[1:-1].isprintable()


@settings(deadline=None)  # machines may be busy
@given(unit=units)
def test_every_unit_is_known_by_its_own_name_and_in_capitals(unit):
    kind = UNITS[unit].kind
    assert find_unit(unit, kind, "here").kind == kind
    upper = unit_name(unit.upper(), kind)
    assert upper is not None
    assert UNITS[upper].kind == kind
