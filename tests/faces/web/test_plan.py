"""The plan's page, and the errands of groups and clicks in the web app."""

import re
from dataclasses import replace
from datetime import UTC, datetime

import pytest

from tapewright.questions.all_questions import all_questions

QUESTIONS = all_questions()

TURNED = (
    "group,distance_yd,clicks,up_in\na,20,0,0.3\na,20,0,-0.3\na,20,0,0.1\n"
    "b,20,40,2.5\nb,20,40,2.7\nb,20,40,1.8\n"
)


@pytest.fixture
def empty_rig(notebook, rig_id):
    """The sample rig with all its groups put aside: behind the app, which works it out once."""
    for one in notebook.entries("group", rig_id):
        notebook.withdraw(one.id, seen=1, now=datetime.now(UTC))
    return rig_id


def test_a_step_that_would_not_surely_land_now_waits_for_the_one_before(client, empty_rig):
    page = client.get(f"/rigs/{empty_rig}/plan?wanted=70+yd").text
    links = re.findall(r"groups/new\?distance=(\d+)\+yd", page)
    steps = page.partition("plan-steps")[2].partition("</ol>")[0].count("<li>")
    assert len(links) == 1
    assert page.count("after the groups above have hit") == steps - 1 >= 1
    assert links[0] == re.search(r'<th scope="row">1</th><td>(\d+)</td>', page)[1]


def test_before_the_first_arrow_no_reading_is_put_into_anybody_s_mouth(client, empty_rig):
    page = client.get(f"/rigs/{empty_rig}/shoot").text
    assert "Set the sight by eye for the first arrow, write down its reading" in page
    link = re.search(r'"([^"]+groups/new\?distance[^"]+)"', page)[1].replace("&amp;", "&")
    assert "reading=" not in link
    assert 'name="reading" type="text" value=""' in client.get(link).text
    assert "Next: <strong>" in page
    assert ": dial" not in page


def test_the_first_far_arrow_and_the_butt_are_told(client, empty_rig):
    page = client.get(f"/rigs/{empty_rig}/plan?wanted=70+yd").text
    assert "First from 10 yd, the sight set by eye: one arrow, then look" in page
    assert "Do not shoot 70 yd at this butt yet. The way there: 10 yd, 15 yd" in page
    assert "a safe stop wider and taller than the butt" in page
    small = client.get(f"/rigs/{empty_rig}/plan?butt=3x3+in").text
    assert "this butt is too small: one" in small


def test_what_is_trusted_needs_no_arrow_and_metres_are_spoken(client, rig_id):
    assert "no arrow is needed" in client.get(f"/rigs/{rig_id}/plan?wanted=50+yd").text
    client.cookies.set("units", "metric")
    assert "50 m is trusted" in client.get(f"/rigs/{rig_id}/plan?wanted=50+m").text


def test_the_first_group_says_for_which_butt_it_is_planned(client, empty_rig):
    first = client.get(f"/rigs/{empty_rig}/groups/new?distance=10+yd").text
    way = f'<a href="/rigs/{empty_rig}/plan">Mine is another</a>'
    assert f"Planned for a butt 36 in wide and 36 in tall. {way}" in first
    client.get(f"/rigs/{empty_rig}/plan?butt=80x80+cm")
    assert (
        "Planned for a butt 31.5 in wide and 31.5 in tall."
        in client.get(f"/rigs/{empty_rig}/groups/new?distance=10+yd").text
    )


def test_the_check_list_is_named_until_all_of_it_is_ticked(client, notebook, empty_rig):
    address = f"/rigs/{empty_rig}/plan"
    assert '<a href="#parts">check list</a>' in client.get(address).text
    rig = notebook.entry(empty_rig)
    parts = ("bow", "shafts", "rest", "centre_shot", "nock", "timing", "peep", "screws")
    sheet = "\n".join((rig.body.sheet, "[checks]", *(f'{one} = "sound"' for one in parts)))
    notebook.save(empty_rig, replace(rig.body, sheet=sheet), seen=rig.number, now=datetime.now(UTC))
    page = client.get(address).text
    assert "all of the check list is ticked sound" in page
    assert "#parts" not in page
    assert "looked over by the check list" not in client.get(f"/rigs/{empty_rig}").text


def test_a_range_is_remembered_until_another_is_said(client, empty_rig):
    """Typed bare in metres it stays metres, though somebody looks in yards later."""
    client.cookies.set("units", "metric")
    said = {"butt": "125x80", "distances": "5, 18"}
    page = client.get(f"/rigs/{empty_rig}/plan", params=said).text
    assert "on a butt 125 cm wide and 80 cm tall" in page
    client.cookies.set("units", "imperial")
    shoot = client.get(f"/rigs/{empty_rig}/shoot").text
    assert "on a butt 49.2 in wide and 31.5 in tall" in shoot  # 1250 and 800 mm over 25.4
    assert "Next: <strong>5.5 yd" in shoot  # 5 m
    again = client.get(f"/rigs/{empty_rig}/plan").text
    assert 'value="125x80 cm"' in again
    assert 'value="5, 18 m"' in again
    client.get(f"/rigs/{empty_rig}/plan?butt=&distances=")
    assert "on a butt 36 in wide and 36 in tall" in client.get(f"/rigs/{empty_rig}/shoot").text


def test_where_nothing_may_be_shot_that_stands_first(client, empty_rig):
    page = client.get(f"/rigs/{empty_rig}/plan?distances=60+yd&walk=no").text
    assert page.index("Nothing may be shot here. A place at") < page.index("What you want")
    assert "Set the sight by eye for the first arrow" not in page


def test_the_form_of_a_planned_group_says_how_it_is_shot(client, rig_id):
    client.get(f"/rigs/{rig_id}/plan?butt=36x36+in")
    page = client.get(f"/rigs/{rig_id}/shoot").text
    link = re.search(r'"([^"]+groups/new\?distance[^"]+)"', page)[1].replace("&amp;", "&")
    rule = "one arrow, then look; the others only if it hit where it may, between"
    assert rule in client.get(link).text
    assert rule not in client.get(link.replace("reading=", "reading=1")).text  # no plan says that
    assert rule not in client.get(f"/rigs/{rig_id}/groups/new").text


def test_a_range_with_fixed_places_is_asked_for_and_obeyed(client, empty_rig):
    lanes = f"/rigs/{empty_rig}/plan?distances=20,40,60+yd"
    assert "Walk up to there, with the range&#39;s leave" in client.get(lanes).text
    fixed = client.get(f"{lanes}&walk=no").text
    assert "Nothing may be shot here. A place at" in fixed
    assert "Shoot this" not in fixed


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ("wanted=5+yd", "nearer than a trusted distance can be"),
        ("wanted=40,60+yd", "is not one distance"),
        ("butt=3", "is not width x height"),
        ("arrows=two", "is no whole number from 3 to 1000"),
        ("tolerance=0+in", "is no miss to ask for"),
        ("temperature=-60+°C", "is too little"),
        ("distances=20,90+yd&wanted=60+yd", "goes past the wanted distance"),
    ],
)
def test_a_wrong_wish_is_told_beside_its_field(client, rig_id, asked, said):
    page = client.get(f"/rigs/{rig_id}/plan?{asked}")
    assert page.status_code == 422
    field = asked.partition("=")[0]
    assert said in re.search(rf'id="{field}-fault">([^<]*)<', page.text)[1]


def test_groups_and_clicks_are_asked_in_the_browser(client, rig_id):
    page = client.get(f"/rigs/{rig_id}/ask/group").text
    assert "Centres, and the chance that a zeroed bow lies as far off" in page
    steps = client.get(f"/rigs/{rig_id}/ask/group?arrow_by_arrow=yes&clicks_per_turn=20").text
    assert "Before arrow" in steps
    page = client.get(f"/rigs/{rig_id}/ask/clicks", params={"learn": TURNED}).text
    assert "What a click does to the impact" in page
    assert "One elevation click is 0.1" in page
    wrong = client.get(f"/rigs/{rig_id}/ask/clicks", params={"learn": TURNED + "c,x,1,1\n"})
    assert wrong.status_code == 422
    assert "line 8, column distance_yd" in wrong.text


def test_without_a_group_there_is_nothing_to_measure(client, empty_rig):
    page = client.get(f"/rigs/{empty_rig}/ask/group")
    assert page.status_code == 422
    assert "no group was shot with this rig as it stands" in page.text


@pytest.mark.parametrize("name", ["plan", "group", "clicks"])
def test_the_errands_stand_in_the_list(name):
    assert QUESTIONS[name].fields


def test_the_question_of_what_is_next_takes_the_range_that_was_said(client, empty_rig):
    """As the plan and the rig's page do; a range of another address stands before it."""
    there = {"distances": "25,40 yd", "walk": "no", "range": "only these"}
    client.get(f"/rigs/{empty_rig}/plan", params=there)
    page = client.get(f"/rigs/{empty_rig}/ask/next").text
    assert 'value="25,40 yd"' in page
