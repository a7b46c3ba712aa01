"""What builders/record_answers.py asks: no command, option, choice or route is left out."""

import sys
from pathlib import Path

import click
import pytest
from every_command import every_command

from tapewright.faces.cli.commands import main

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def answers():
    """The rooms of the builder."""
    sys.path.insert(0, str(ROOT / "builders"))
    try:
        from answers import calls, rigs, sameness, visited

        yield {"calls": calls, "rigs": rigs, "sameness": sameness, "visited": visited}
    finally:
        sys.path.pop(0)


@pytest.fixture
def calls(answers):
    return answers["calls"]


def test_no_command_option_or_choice_is_left_out(calls):
    asked = [*calls.calls_of(calls.SAMPLE), *calls.notebook_calls()]
    assert calls.forgotten(main, asked) == []


def test_each_command_is_asked_of_each_rig_or_of_the_notebook_of_all(calls):
    asked = {words[0] for words in (*calls.calls_of(calls.RIG), *calls.notebook_calls())}
    assert set(every_command()) <= asked


def test_every_option_that_takes_a_text_is_refused_too(calls):
    refused = [" ".join(words) for words in calls.refusals(main)]
    for name in ("wind", "budget", "weather"):
        for option in every_command()[name].params:
            is_file = isinstance(option.type, click.Path)  # nonsense is a name like any other
            if option.param_type_name == "option" and not (option.is_flag or is_file):
                ending = f" {option.opts[0]} x@y"
                assert any(one.startswith(name) and one.endswith(ending) for one in refused), ending
        assert f"{name} --help" in refused


def test_what_is_left_out_is_seen(calls):
    @click.group()
    def small():
        pass

    @small.command()
    @click.option("--wide/--narrow")
    @click.option("--paper", type=click.Choice(["A4", "Letter"]))
    def draw(wide, paper):
        pass

    small.add_command(click.Command("erase"))
    asked = [["draw", "--wide", "--paper", "A4"], ["draw", "Letter"]]
    assert calls.forgotten(small, asked) == ["draw --narrow", "draw --paper Letter", "erase"]
    assert calls.forgotten(small, [*asked, ["draw", "--narrow", "--paper", "Letter"]]) == ["erase"]


def test_names_of_files_tell_calls_apart(calls):
    long = ["fit", "x" * 150, "--json"]
    assert calls.slug(["fit", "rig.toml", "--json"]) == "fit_rig.toml_--json"
    assert calls.slug(["plan", "--to", ""]) == "plan_--to_EMPTY"
    assert calls.slug(long) != calls.slug([*long, "--metric"])
    assert len(calls.slug(long)) < 120


def test_a_rig_by_chance_is_the_same_again_and_each_is_another(answers):
    make = answers["rigs"].make_rig
    assert make(7, 1).files == make(7, 1).files
    assert make(7, 1).files != make(7, 2).files
    rigs = [make(number, 1) for number in range(30)]
    sheets = [one.files["rig.toml"] for one in rigs]
    words = ('hand = "left"', 'farther = "decreases"', '["8 mm", "15 mm"]', "arm_length", "kgf",
             "lbf", "least_arrow_mass", '"damaged"', "broadhead", "chronograph")  # fmt: skip
    for word in words:
        assert 0 < sum(word in text for text in sheets) < 30, word
    shot = [one.files["shots.csv"] for one in rigs]
    for word in ("distance_m", "distance_yd", "distance_ft", "reading_cm", "slope_deg", "pin", ";"):
        assert 0 < sum(word in text for text in shot) < 30, word


def test_moments_sums_and_ids_are_made_the_same_and_nothing_else(answers):
    plain = answers["sameness"].plain
    one, other, total = "0123456789abcdef0123", "fedcba98765432100123", "a1" * 32
    moment, check = "2031-04-05T10:20:30.000123Z", f'"check": "{total}"'
    text = f"{other} {one} {other}, {moment}, {check}, 20.0, 1e-05"
    assert plain(text, {one: "rig"}) == (
        '<id 1> <rig> <id 1>, <moment>, "check": "<sum>", 20.0, 1e-05'
    )
    assert plain(f"fingerprint 3280ea54, {total}") == f"fingerprint 3280ea54, {total}"


def test_json_gets_lines_and_keeps_its_digits(answers):
    text = '{"a":1.50,"b":["x,{y",-0.0],"c":{}}'
    told = answers["sameness"].in_lines(text)
    assert told.replace("\n", "") == text
    assert told.count("\n") == 5


def test_routes_are_found_behind_what_wraps_the_app(answers):
    from fastapi import APIRouter, FastAPI

    inner, app = APIRouter(), FastAPI(openapi_url=None, docs_url=None, redoc_url=None)
    inner.add_api_route("/rigs/{rig_id}", lambda rig_id: rig_id, methods=["GET"])
    inner.add_api_route("/rigs", lambda: "", methods=["POST"])
    app.include_router(inner)

    class Wrapped:
        def __init__(self, app):
            self.inside = app

        def __call__(self):
            pass

    routes = answers["visited"].routes_of(Wrapped(Wrapped(app)))
    assert routes == [("GET", "/rigs/{rig_id}"), ("POST", "/rigs")]
