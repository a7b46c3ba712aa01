import json
from dataclasses import replace
from math import inf, nan

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from notebooks import BODIES, CALIBRATION, GROUP, PRINT, PRINTER, RIG, SESSION

from tapewright.calibration.observation import Observation
from tapewright.flight.air import Air
from tapewright.ground.errors import BadArchive, BadInput
from tapewright.sight.stickings import Sticking
from tapewright.storage.plain import body_from_text, body_text, canonical, plain
from tapewright.storage.records import KeptGroup, KeptPrint, KeptSession, KeptTape, kind_of
from tapewright.target.group import Group, Impact

NUMBERS = st.floats(allow_nan=False, allow_infinity=False)
TEXTS = st.text(st.characters(exclude_categories=["Cs"]))
FROM_AIM = st.none() | st.floats(-8.0, 8.0)
IMPACTS = st.builds(
    Impact,
    FROM_AIM,
    FROM_AIM,
    st.integers(1, 10_000),
    st.booleans(),
    st.booleans(),
    arrow=TEXTS,
)
AIRS = st.builds(Air, st.floats(250, 310), st.floats(7e4, 1.05e5), st.floats(0, 1))
OBSERVATIONS = st.builds(
    Observation,
    st.builds(Group, TEXTS, st.lists(IMPACTS, max_size=4).map(tuple)),
    st.floats(0.5, 500.0), st.floats(-1.0, 1.0), st.integers(1, 20), st.floats(-1.3, 1.3),
    st.floats(-60.0, 60.0), st.none() | AIRS, TEXTS, st.none() | st.floats(-0.5, 0.5),
    st.none() | st.floats(-1e5, 1e5), st.sampled_from(["", "tape", "range finder", "pegs"]),
    st.booleans(), date=st.sampled_from(["", "2026-05-14"]),
    head=st.sampled_from(["", "broadhead"]),
)  # fmt: skip


def read_again(body):
    return body_from_text(kind_of(body), body_text(body), "here")


def test_a_later_field_is_written_only_where_it_says_something():
    plainly = KeptSession("2026-11-25", "sighting", "windy", 0)
    assert "proved" not in body_text(plainly)
    assert '"proved":true' in body_text(replace(plainly, proved=True))
    assert read_again(replace(plainly, proved=True)) == replace(plainly, proved=True)


def test_read_briefly_a_calibration_has_all_but_its_marks():
    told = 'it says "marks":[[1.0]] and ends'
    whole = replace(BODIES[CALIBRATION], cautions=(told,), marks=((18.288, -1e-05, 0.01, 0.02),))
    brief = body_from_text("calibration", body_text(whole), "here", briefly=True)
    assert brief == replace(whole, marks=())
    assert read_again(whole).marks == ((18.288, -1e-05, 0.01, 0.02),)
    session = BODIES[SESSION]
    assert body_from_text("session", body_text(session), "here", briefly=True) == session


def test_a_tape_and_what_was_shot_on_it_come_back():
    tape = KeptTape('{"schema": "tapewright.tape/1"}', 2, "2026-11-25")
    assert "taken_off" not in body_text(tape)
    assert read_again(replace(tape, taken_off="2026-11-26")).taken_off == "2026-11-26"
    scales = (Sticking("tape 1", 0.0003), Sticking("tape 2", 0.0005))
    shot = replace(BODIES[GROUP].observation, scales=scales)
    assert "scales" not in body_text(BODIES[GROUP])
    assert read_again(replace(BODIES[GROUP], observation=shot)).observation.scales == scales
    assert "record_text" not in body_text(BODIES[PRINT])
    printed = replace(BODIES[PRINT], record_text="{}")
    assert read_again(printed) == printed


@pytest.mark.parametrize("body", BODIES.values(), ids=kind_of)
def test_every_body_comes_back(body):
    assert read_again(body) == body


@given(OBSERVATIONS, TEXTS)
def test_every_digit_of_an_observation_comes_back(observation, note):
    body = KeptGroup(SESSION, observation, note)
    again = read_again(body)
    assert again == body
    assert repr(again) == repr(body)  # minus nought too


@given(st.dictionaries(TEXTS, TEXTS))
def test_every_choice_of_a_print_comes_back(choices):
    body = KeptPrint("card", "", None, choices, "2026-11-25")
    assert read_again(body) == body


def test_what_was_read_belongs_to_whoever_read_it():
    body = read_again(BODIES[PRINT])
    body.choices["paper"] = "Letter"
    assert read_again(BODIES[PRINT]) == BODIES[PRINT]


def test_whole_numbers_serve_where_numbers_are_wanted():
    body = body_from_text("printer", '{"name":"a","across_mm":99,"down_mm":101}', "here")
    assert (body.across_mm, body.down_mm) == (99.0, 101.0)
    assert isinstance(body.across_mm, float)


def test_a_field_with_a_default_may_be_missing():
    assert body_from_text("job", '{"what":"fit"}', "here").state == "waiting"


def test_numbers_of_arrays_are_kept_as_numbers():
    worked_out = replace(BODIES[CALIBRATION], trusted_m=tuple(np.array([64.25, 58.5])))
    assert "[64.25,58.5]" in body_text(worked_out)
    assert plain({"a": (np.float64(0.1), True, None)}) == {"a": [0.1, True, None]}


def test_there_is_one_way_to_write_json():
    assert canonical({"b": [1.0, None], "a": "é"}) == '{"a":"é","b":[1.0,null]}'


@pytest.mark.parametrize("odd", [nan, inf])
def test_a_number_that_is_none_is_not_kept(odd):
    body = replace(BODIES[CALIBRATION], marks=((1.0, odd, 1.0, 1.0),))
    with pytest.raises(BadInput, match="not finite"):
        body_text(body)


def test_half_a_character_is_not_kept():
    with pytest.raises(BadInput, match="half a character"):
        body_text(replace(BODIES[RIG], name="\ud83c"))


WRONG = {
    "fields are missing altogether": (RIG, (), 5),
    "sheet: a text is wanted": (RIG, ("sheet",), None),
    "name: the text holds half a character": (RIG, ("name",), "\ud83c"),
    "one of sighting, proving is wanted": (SESSION, ("purpose",), "play"),
    "purpose: one of sighting, proving": (SESSION, ("purpose",), ["sighting"]),
    "setup: a whole number is wanted": (SESSION, ("setup",), 1.0),
    "setup: a whole number": (SESSION, ("setup",), True),
    "'20261' is no day": (SESSION, ("shot_on",), "20261"),
    "below zero": (SESSION, ("setup",), -1),
    "distance_m: a number is wanted": (GROUP, ("observation", "distance_m"), "20"),
    "reading_m: a number is wanted": (GROUP, ("observation", "reading_m"), True),
    "slope_rad: the number is not finite": (GROUP, ("observation", "slope_rad"), inf),
    "reading_m: the number is too large": (GROUP, ("observation", "reading_m"), 10**400),
    "Air.temperature_k: 15 is outside": (GROUP, ("observation", "air", "temperature_k"), 15.0),
    "Air temperature": (GROUP, ("observation", "air", "temperature_k"), 360.0),
    "impacts 2, called_bad: true or false is wanted": (
        GROUP, ("observation", "group", "impacts", 1, "called_bad"), 1,
    ),
    "impacts: a list is wanted": (GROUP, ("observation", "group", "impacts"), {}),
    "marks 1: 4 values are wanted, there are 3": (CALIBRATION, ("marks", 0), [1.0, 2.0, 3.0]),
    "choices: names with their values are wanted": (PRINT, ("choices",), []),
    "choices, paper: a text is wanted": (PRINT, ("choices", "paper"), 4),
    "a length above zero": (PRINTER, ("down_mm",), 0),
}  # fmt: skip


@pytest.mark.parametrize("words", WRONG)
def test_a_wrong_field_is_named(words):
    entry_id, path, value = WRONG[words]
    body = BODIES[entry_id]
    whole = json.loads(body_text(body))
    inner = whole
    for step in path[:-1]:
        inner = inner[step]
    if path:
        inner[path[-1]] = value
    else:
        whole = value
    with pytest.raises(BadArchive, match=words) as told:
        body_from_text(kind_of(body), json.dumps(whole), "here")
    assert told.value.place.startswith("here")
