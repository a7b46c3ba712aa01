"""Shooting in the web app: groups typed, changed, put aside; what is told; shots from a file."""

import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from written_out import IMPERIAL, METRIC

from tapewright.faces.kept_rigs import rig_of
from tapewright.faces.web.group_form import (
    GroupForm,
    free_name,
    group_texts,
    next_name,
    read_group,
)
from tapewright.services.keep import KeptChange, KeptSession
from tapewright.services.record_groups import Impact, observe_group

LOW = {
    "distance": "20 yd", "reading": "16.1",
    "right-1": "-0.9", "up-1": "-3.9", "right-2": "-1.1", "up-2": "-4.1",
    "right-3": "-1", "up-3": "-4,2", "right-4": "-1", "up-4": "−3.8",
    "right-5": "9", "up-5": "9", "bad-5": "yes",
}  # fmt: skip
ROWS = "group,distance_yd,reading_mm,right_in,up_in\nfar1,45,33.5,0.1,0.2\nfar1,45,33.5,0.3,-0.2\n"
NOW = datetime(2026, 11, 25, tzinfo=UTC)


@pytest.fixture
def groups(client, rig_id):
    """Address of the sample's groups."""
    assert client
    return f"/rigs/{rig_id}/groups"


@pytest.fixture
def keep(client, groups):
    """Keep a group; returns its address."""

    def kept(**more):
        taken = client.post(f"{groups}/new", data=LOW | more)
        assert taken.status_code == 303, words_of(taken.text)
        return taken.headers["location"].replace("/new?after=", "/")

    return kept


@pytest.fixture
def kept_group(notebook):
    return lambda address: notebook.entry(address.rpartition("/")[2])


def words_of(page):
    return " ".join(re.sub(r"<[^>]*>", " ", page).split())


def hidden(page, name):
    return re.search(rf'name="{name}" value="([^"]*)"', page)[1]


def test_a_typed_group_is_kept_as_a_file_of_shots_would_read_it(keep, kept_group):
    one = kept_group(keep()).body.observation
    assert one.distance_m == pytest.approx(20 * 0.9144)
    assert one.reading_m == pytest.approx(16.1e-3)
    assert one.group.impacts[2] == Impact(-1 * 0.0254, -4.2 * 0.0254)
    assert (one.group.arrows, one.group.called_bad) == (4, 1)
    assert one.group.name == "g9"


def test_days_and_numbers_of_arrows_are_kept_and_asked_for_again(client, keep, groups, kept_group):
    address = keep(**{"arrow-1": "7", "arrow-3": "B2", "date": "2026-05-14"})
    one = kept_group(address).body.observation
    assert [hit.arrow for hit in one.group.impacts] == ["7", "", "B2", "", ""]
    assert one.date == "2026-05-14"
    page = client.get(address).text
    assert "What to turn" in page  # a day of its own makes it no other group
    assert 'name="arrow-3" id="arrow-3" value="B2"' in page
    assert 'value="2026-05-14"' in page
    assert 'id="numbered" checked' in client.get(f"{groups}/new").text
    wrong = client.post(f"{groups}/new", data=LOW | {"arrow-1": "7", "arrows-1": "3", "name": "x"})
    assert wrong.status_code != 303
    assert "stands for 3 arrows" in words_of(wrong.text)


def test_a_group_is_not_taken_back_whose_arrows_were_kept_anew(client, keep, notebook):
    address = keep()
    client.post(f"{address}/withdraw", data={"seen": "1"})
    keep()
    told = client.post(f"{address}/restore", data={"seen": "1"})
    assert told.status_code == 422
    assert "these arrows count already" in told.text
    assert notebook.entry(address.rpartition("/")[2]).is_withdrawn


def test_a_note_alone_leaves_a_group_as_it_was_to_the_last_digit(client, keep, notebook):
    address = keep()
    kept = notebook.entry(address.rpartition("/")[2])
    odd = replace(kept.body.observation, distance_m=18.287654321987654, reading_m=0.016123456789123)
    notebook.save(kept.id, replace(kept.body, observation=odd), seen=1, now=NOW)
    page = client.get(address).text
    inputs = [tag for tag in re.findall("<input[^>]*>", page) if 'name="' in tag]
    sent = [tag for tag in inputs if not re.search("checkbox|radio", tag) or " checked" in tag]
    fields = {
        re.search('name="([^"]+)"', tag)[1]: re.search('value="([^"]*)"', tag)[1] for tag in sent
    }
    fields["note"] = "gusty"
    assert client.post(address, data=fields).status_code == 303
    now = notebook.entry(kept.id).body
    assert (now.note, now.observation) == ("gusty", odd)


@pytest.mark.parametrize(("name", "such"), [("distance", "20"), ("reading", "31.2")])
def test_a_group_is_none_without_its_distance_and_its_reading(client, groups, name, such):
    page = client.post(f"{groups}/new", data=LOW | {name: " "})
    assert page.status_code == 422
    assert f'id="{name}-fault">the cell is empty. Write a number such as {such}.' in page.text


def test_a_side_that_nobody_measured_stays_open(client, keep, kept_group):
    address = keep(**{f"right-{row}": "" for row in range(1, 6)})
    assert kept_group(address).body.observation.group.impacts[0] == Impact(None, -3.9 * 0.0254)
    said = words_of(client.get(address).text)
    assert "Elevation: pin down" in said
    assert "Windage: pin" not in said


def test_the_correction_stands_on_the_groups_page_in_words_and_clicks(client, keep):
    said = words_of(client.get(keep()).text)
    assert "The centre lies 4.00 in low and 1.00 in left." in said
    assert re.search(
        r"Elevation: pin down, [\d.]+ mm toward larger numbers to [\d.]+ mm, \d+ cl", said
    )
    assert "Windage: pin left by" in said
    assert "1 arrow called bad, left out" in said


def test_a_group_on_the_aim_is_left_alone(client, keep):
    on_aim = {f"{side}-{row}": "" for side in ("right", "up", "bad") for row in range(1, 6)}
    on_aim |= {"right-1": "0.2", "up-1": "-0.3", "right-2": "-0.1", "up-2": "0.2"}
    said = words_of(client.get(keep(**on_aim)).text)
    assert "leave it" in said
    assert "Nothing to turn for this group" in said


def test_a_flyer_is_flagged_and_counted(client, keep):
    spots = [("0.1", "0"), ("0", "0.1"), ("-0.1", "0"), ("0", "-0.1"), ("0.1", "0.1"), ("2", "-3")]
    wild = {"bad-5": ""}
    for row, (right, up) in enumerate(spots, 1):
        wild |= {f"right-{row}": right, f"up-{row}": up}
    said = words_of(client.get(keep(**wild)).text)
    assert "the arrow at 3.00 in low and 2.00 in right does not belong" in said


def test_the_next_shot_fills_the_form_in(client, groups):
    rig = groups.removesuffix("/groups")
    for one in re.findall(rf'{groups}/([0-9a-f]{{20}})"', client.get(f"{rig}/shoot").text)[1:]:
        client.post(f"{groups}/{one}/withdraw", data={"seen": "1"})
    page = client.get(f"{rig}/shoot").text
    link = re.search(rf'"({groups}/new\?distance[^"]+)"', page)[1].replace("&amp;", "&")
    form = client.get(link).text
    assert re.search(r'name="distance" type="text" value="\d+"', form)
    assert 'name="distance_in" value="yd" checked' in form
    assert re.search(r'name="reading" type="text" value="[\d.]+"', form)
    assert re.search(r"Next: <strong>\d+ yd: dial [\d.]+ mm, pin 1, \d+ arrows", page)


def test_units_are_chosen_by_buttons_beside_bare_numbers(client, keep, kept_group):
    address = keep(distance="18.4", distance_in="m", reading="16.1", reading_in="mm", pin="2")
    one = kept_group(address).body.observation
    assert (one.distance_m, one.reading_m, one.pin) == (18.4, pytest.approx(16.1e-3), 2)
    form = client.get(address).text
    assert 'name="distance" type="text" value="18.4"' in form
    assert 'name="distance_in" value="m" checked' in form
    assert 'name="pin" value="2" checked' in form
    assert ", pin 2, 4 arrows" in words_of(form)
    written = keep(distance="20 yd", distance_in="m", reading="17.3")  # what is written wins
    assert kept_group(written).body.observation.distance_m == pytest.approx(18.288)


def test_what_to_turn_so_far_is_told_before_anything_is_kept(client, notebook, groups, rig_id):
    """Four arrows 1 in left and 4 in low; and nothing of what is not known yet."""
    told = client.post(f"{groups}/so-far", data=LOW)
    assert told.status_code == 200
    said = words_of(told.text)
    assert "The centre lies 4.00 in low and 1.00 in left." in said
    assert "Elevation: pin down" in said
    assert "<html" not in told.text
    for more in ({"distance": ""}, {"reading": "x"}, {f"bad-{row}": "1" for row in range(1, 6)}):
        assert not client.post(f"{groups}/so-far", data=LOW | more).text.strip()
    session = client.post(f"/rigs/{rig_id}/prove").headers["location"].rpartition("=")[2]
    assert not client.post(f"{groups}/so-far", data=LOW | {"session": session}).text.strip()
    assert len(notebook.entries("group")) == 8


def test_a_group_that_is_kept_is_named_to_the_script_that_holds_its_draft(client, groups):
    entry = "ab" * 10
    kept = client.post(f"{groups}/new", data=LOW | {"entry": entry})
    cookie = kept.headers["set-cookie"]
    assert cookie.startswith(f"kept={entry}.0;")
    assert f"Path={groups.removesuffix('/groups')};" in cookie
    refused = client.post(f"{groups}/new", data=LOW | {"reading": "x"})
    assert "set-cookie" not in refused.headers
    assert 'data-draft="save"' in refused.text
    assert 'data-draft="restore"' in client.get(f"{groups}/new").text


def test_todays_session_begins_with_the_first_group_and_takes_the_next(client, notebook, groups):
    rig_id = groups.split("/")[2]
    (old,) = notebook.entries("session", rig_id)
    notebook.save(old.id, KeptSession("2020-05-01", "sighting", "", 0), seen=1, now=NOW)
    for reading in ("16.2 mm", "16.4 mm"):
        sent = LOW | {"reading": reading}
        assert client.post(f"{groups}/new", data=sent).status_code == 303
    sessions = notebook.entries("session", rig_id)
    assert len(sessions) == 2
    assert [one.body.session_id for one in notebook.entries("group", rig_id)].count(
        sessions[-1].id
    ) == 2


def test_after_a_change_a_new_session_begins(client, notebook, groups):
    rig_id = groups.split("/")[2]
    sheet = notebook.entry(rig_id).body
    notebook.save(rig_id, sheet, seen=1, now=NOW)
    change = KeptChange(1, 1, 2, new_string=False, words="other vanes")
    notebook.add(change, entry_id="c" * 20, now=NOW, rig_id=rig_id)
    page = client.get(client.post(f"{groups}/new", data=LOW).headers["location"]).text
    assert [one.body.setup for one in notebook.entries("session", rig_id)] == [0, 1]
    assert "Elevation: pin down" in page
    old = notebook.entries("group", rig_id)[0]
    assert "before the rig was changed" in client.get(f"{groups}/{old.id}").text


def test_proving_groups_tell_no_correction(client, notebook, groups):
    rig_id = groups.split("/")[2]
    proving = KeptSession("2026-11-25", "proving", "", 0)
    notebook.add(proving, entry_id="d" * 20, now=NOW, rig_id=rig_id)
    address = client.post(f"{groups}/new", data=LOW | {"session": "d" * 20}).headers["location"]
    assert "shot to prove the tape" in client.get(address).text


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("distance", "", "the cell is empty. Write a number such as 20"),
        ("distance", "900", "above the limit of 200 m"),
        ("distance", "far", "does not start with a number"),
        ("distance", "20 kg", "is a mass, where a length"),
        ("reading", "9000", "above the limit of 500 mm"),
        ("pin", "3", "pin 3 is aimed with, and the rig sheet has 2"),
        ("pin", "x", "Write a number such as 1"),
        ("right-2", "200", "above the limit of 3 m"),
        ("arrows-1", "0", "is not a whole number from 1 to 100"),
        ("slope", "80", "above the limit of 60"),
        ("crosswind", "5", "has no unit"),
        ("windage", "60", "above the limit of 50 mm"),
        ("windage_clicks", "few", "Write a count such as 20 or -20"),
        ("windage_session", "n" * 61, "too long for a name"),
        ("distances", "guessed", "Write tape, range finder, pegs, paces, or leave it open"),
        ("temperature", "15", "has no unit"),
        ("temperature", "90 °C", "above the limit of 50"),
        ("air", "9000 m", "is no altitude"),
        ("air", "5 hPa", "pressure"),
        ("name", "7", "another group of this rig is called"),
        ("name", "n" * 61, "too long for a name"),
        ("here", "yes", "arrows are written down as well"),
        ("right-6", "<script>", "does not start with a number"),
    ],
)
def test_what_is_wrong_stands_beside_its_field_and_nothing_is_lost(
    client, notebook, groups, field, typed, said
):
    before = len(notebook.entries("group"))
    refused = client.post(f"{groups}/new", data=LOW | {"note": "gusts", field: typed})
    assert refused.status_code == 422
    assert said.replace('"', "&#34;") in refused.text
    assert 'value="-4,2"' in refused.text
    assert "gusts" in refused.text
    assert "<script>" not in refused.text.replace("<script src", "")
    assert len(notebook.entries("group")) == before


def test_no_arrow_and_only_bad_arrows_are_refused(client, groups):
    bare = {"distance": "20 yd", "reading": "16"}
    assert "no arrow is written down" in client.post(f"{groups}/new", data=bare).text
    bad = bare | {"bad-1": "yes"}
    assert "every arrow is called bad" in client.post(f"{groups}/new", data=bad).text
    three = bare | {"arrows-1": "3"}
    assert "right and up are empty" in client.post(f"{groups}/new", data=three).text


def test_arrows_past_the_butt_are_kept_and_the_next_group_comes_nearer(client, groups, kept_group):
    past = {"distance": "75 yd", "reading": "50.1", "missed": "2"}
    taken = client.post(f"{groups}/new", data=past)
    address = taken.headers["location"]
    one = kept_group(address.replace("?after=", "/")).body.observation
    assert one.group.impacts == (Impact(None, None, 2, missed=True),)
    page = client.get(address).text
    assert "Its arrows went past the butt, so it moves no mark" in words_of(page)
    assert "2 past the butt" in page
    plan = client.get(f"{groups.removesuffix('/groups')}/plan?wanted=90+yd").text
    assert "Arrows went past the butt at 75 yd" in plan


def test_a_kept_group_tells_what_to_turn_above_the_form_of_the_next(client, groups):
    rig = groups.removesuffix("/groups")
    for one in re.findall(rf'{groups}/([0-9a-f]{{20}})"', client.get(f"{rig}/shoot").text)[1:]:
        client.post(f"{groups}/{one}/withdraw", data={"seen": "1"})
    link = re.search(
        r"groups/new\?distance=(\d+)\+yd&amp;reading=([\d.]+)", client.get(f"{rig}/shoot").text
    )
    hits = {"distance": f"{link[1]} yd", "reading": link[2], "right-1": "0.2", "up-1": "-0.3"}
    kept = client.post(f"{groups}/new", data=hits | {"right-2": "-0.1", "up-2": "0.2"})
    assert re.fullmatch(rf"{groups}/new\?after=[0-9a-f]{{20}}", kept.headers["location"])
    page = client.get(kept.headers["location"]).text
    assert page.index("What to turn") < page.index("Next: ") < page.index('id="distance"')
    far, dial, arrows = re.search(
        r"Next: (\d+) yd: dial ([\d.]+) mm, pin 1, (\d) arrows", page
    ).groups()
    assert f'name="distance" type="text" value="{far}"' in page
    assert f'name="reading" type="text" value="{dial}"' in page
    assert page.count('role="group" aria-label="Arrow ') == int(arrows)
    assert 'name="seen" value="0"' in page
    assert client.get(f"{groups}/new?after={'f' * 20}").status_code == 404


def test_no_form_of_a_next_group_follows_one_of_another_day(client, groups, notebook):
    rig = groups.removesuffix("/groups")
    body = KeptSession("2026-05-14", "sighting", "", 0)
    notebook.add(body, now=NOW, rig_id=rig.split("/")[2], entry_id="5" * 20)
    link = re.search(
        r"groups/new\?distance=(\d+)\+yd&amp;reading=([\d.]+)", client.get(f"{rig}/shoot").text
    )
    hits = {"distance": f"{link[1]} yd", "reading": link[2], "up-1": "-0.3"}
    for other_day in ({"right-1": "2", "session": "5" * 20}, {"date": "2026-05-14"}):
        kept = client.post(f"{groups}/new", data=hits | other_day)
        assert re.fullmatch(rf"{groups}/[0-9a-f]{{20}}", kept.headers["location"])


def test_a_group_that_does_not_fit_is_looked_at_before_the_form_of_the_next(client, groups):
    low = {f"up-{row}": "-6.1" for row in (1, 2, 3, 4)} | {"distance": "20 yd", "reading": "12"}
    kept = client.post(f"{groups}/new", data=low | {f"right-{row}": "1" for row in (1, 2, 3, 4)})
    assert re.fullmatch(rf"{groups}/[0-9a-f]{{20}}", kept.headers["location"])
    page = words_of(client.get(kept.headers["location"]).text)
    assert "does not fit the others" in page


@pytest.mark.parametrize("mass", ["420 gr", "150 gr"])
def test_nobody_is_told_to_shoot_a_first_arrow_that_cannot_be_judged_or_is_stopped(client, mass):
    told = {"name": "Wren", "arrow.mass": mass, "arrow.shaft_diameter": "6 mm"}
    stopped = {"bow.draw_weight": "60 lbf"} if mass == "150 gr" else {}
    made = client.post("/rigs/new", data=told | stopped).headers["location"]
    rig = re.match(r"/rigs/[0-9a-f]{20}", made)[0]
    page = words_of(client.get(f"{rig}/groups/new").text)
    assert "shoot one arrow" not in page
    assert ("do not shoot it" if stopped else "the rig sheet must tell: how heavy an") in page
    hit = {"distance": "10 yd", "reading": "12", "right-1": "1", "up-1": "2"}
    kept = client.post(f"{rig}/groups/new", data=hit).headers["location"]
    page = words_of(client.get(kept).text)
    assert ("nobody can judge whether this set-up is safe" in page) == (not stopped)
    assert ("new?after=" in kept) == (not stopped)


def test_it_hits_here_needs_no_arrow(client, keep, kept_group):
    empty = {one: "" for one in LOW if "-" in one}
    address = keep(**empty, here="yes", mark_arrows="5")
    assert kept_group(address).body.observation.group.impacts == (Impact(0.0, 0.0, 5),)
    page = client.get(address).text
    assert re.search(r'id="here" name="here" value="yes" checked', page)
    assert "it hits here" in page


def test_a_row_is_added_without_a_script_and_nothing_is_kept(client, notebook, groups):
    before = len(notebook.entries("group"))
    page = client.post(f"{groups}/new", data=LOW | {"add": "yes"}).text
    assert 'name="right-6"' in page
    assert 'value="-4,2"' in page
    assert len(notebook.entries("group")) == before


def test_a_form_sent_twice_makes_one_group(client, notebook, groups):
    entry = hidden(client.get(f"{groups}/new").text, "entry")
    first, second = (client.post(f"{groups}/new", data=LOW | {"entry": entry}) for _ in range(2))
    assert first.headers["location"] == second.headers["location"]
    assert len(notebook.entries("group")) == 9
    other = client.post(f"{groups}/new", data=LOW | {"entry": entry, "reading": "17"})
    assert other.status_code == 409
    assert 'value="17"' in other.text


def test_a_group_changed_keeps_its_digits_unless_they_are_touched(client, notebook, groups):
    one = notebook.entries("group")[0]
    page = client.get(f"{groups}/{one.id}").text
    page = re.sub(r'<input type="radio"[^>]*?value="[^"]*">', "", page)  # those not chosen
    fields = dict(re.findall(r'name="([a-z_]+(?:-\d+)?)"[^>]*? value="([^"]*)"', page))
    fields = {
        name: text for name, text in fields.items() if not name.startswith(("bad", "here", "add"))
    }
    fields |= {"seen": "1", "note": "<script>alert(1)</script>"}
    assert client.post(f"{groups}/{one.id}", data=fields).status_code == 303
    again = notebook.entry(one.id)
    assert again.number == 2
    assert again.body.observation == one.body.observation
    page = client.get(f"{groups}/{one.id}").text
    assert "&lt;script&gt;" in page
    assert "<script>alert" not in page
    fields |= {"seen": "2", "reading": "33 mm"}
    assert client.post(f"{groups}/{one.id}", data=fields).status_code == 303
    assert notebook.entry(one.id).body.observation.reading_m == pytest.approx(0.033)


def test_the_second_editor_is_told_and_loses_nothing(client, keep, kept_group):
    address = keep(name="far")
    mine, theirs = (LOW | {"seen": "1", "name": "far", "reading": one} for one in ("18", "17"))
    assert client.post(address, data=theirs).status_code == 303
    told = client.post(address, data=mine)
    assert told.status_code == 409
    assert "Somebody else saved this group meanwhile" in told.text
    assert "17.00 mm" in told.text
    assert 'value="18"' in told.text
    on_top = mine | {"seen": hidden(told.text, "seen")}
    assert client.post(address, data=on_top).status_code == 303
    assert kept_group(address).body.observation.reading_m == pytest.approx(0.018)


def test_a_group_is_put_aside_and_taken_back(client, groups, keep):
    address = keep()
    shoot = groups.replace("groups", "shoot")
    assert client.post(f"{address}/withdraw", data={"seen": "1"}).status_code == 303
    assert "Put aside" in client.get(shoot).text
    assert "it counts nowhere" in client.get(address).text
    meanwhile = client.post(address, data=LOW | {"seen": "1"})
    assert meanwhile.status_code == 409
    assert "put aside meanwhile" in meanwhile.text
    assert client.post(f"{address}/restore", data={"seen": "1"}).status_code == 303
    assert "What to turn" in client.get(address).text


def test_a_faulty_change_and_another_row_leave_the_group_as_it_is(client, keep, kept_group):
    address = keep()
    assert client.post(address, data=LOW | {"seen": "1", "reading": "x"}).status_code == 422
    assert 'name="right-6"' in client.post(address, data=LOW | {"seen": "1", "add": "1"}).text
    assert kept_group(address).number == 1


def test_groups_of_another_rig_are_not_there(client, keep):
    other = client.post("/sample").headers["location"]
    group_id = keep().rpartition("/")[2]
    assert client.get(f"{other}/groups/{group_id}").status_code == 404
    assert client.post(f"{other}/groups/{group_id}/withdraw").status_code == 404


def test_date_and_note_of_a_session_are_changed(client, notebook, groups):
    (session,) = notebook.entries("session")
    address = f"{groups.replace('groups', 'sessions')}/{session.id}"
    assert "Invented arrows" in client.get(address).text
    wrong = client.post(address, data={"seen": "1", "shot_on": "May", "note": "calm"})
    assert wrong.status_code == 422
    assert "calm" in wrong.text
    good = {"seen": "1", "shot_on": "2026-05-01", "note": "calm"}
    assert client.post(address, data=good).status_code == 303
    assert notebook.entry(session.id).body.shot_on == "2026-05-01"
    late = client.post(address, data=good | {"note": "windy"})
    assert late.status_code == 409
    assert "windy" in late.text
    assert "calm" in late.text


def test_a_file_of_shots_is_taken_in(client, notebook, groups):
    shots = groups.replace("groups", "shots")
    sent = client.post(
        shots,
        data={"shot_on": "2026-06-01", "batch": "b"},
        files={"file": ("july.csv", ROWS + "7,30,21.1,0.2,0\n")},
    )
    assert sent.status_code == 303, words_of(sent.text)
    names = [one.body.observation.group.name for one in notebook.entries("group")]
    assert names[-2:] == ["far1", "7 2"]
    assert notebook.entries("session")[-1].body.shot_on == "2026-06-01"
    again = client.post(shots, data={"rows": ROWS, "batch": "b", "anyway": "yes"})
    assert again.status_code == 303
    assert len(notebook.entries("group")) == 10
    (first, _) = notebook.entries("session")
    into = client.post(shots, data={"rows": ROWS.replace("45", "46"), "session": first.id})
    assert into.status_code == 303
    assert notebook.entries("group")[-1].body.session_id == first.id


def test_faults_of_a_file_are_shown_by_line_with_its_text_to_mend(client, notebook, groups):
    shots = groups.replace("groups", "shots")
    assert client.get(shots).status_code == 200
    wrong = client.post(shots, files={"file": ("july.csv", ROWS + "a,x,1,0,0\nb,30,y,0,0\n")})
    assert wrong.status_code == 422
    assert "july.csv, line 4, column distance_yd" in wrong.text
    assert "july.csv, line 5, column reading_mm" in wrong.text
    assert "far1,45,33.5" in wrong.text
    assert "no arrows yet" in client.post(shots, data={"rows": "distance_yd,reading_mm\n"}).text
    raw = client.post(shots, files={"file": ("july.csv", b"\xff\xfe\x00")})
    assert "UTF-16" in raw.text
    no_day = client.post(shots, data={"rows": ROWS, "shot_on": "June"})
    assert no_day.status_code == 422
    assert 'id="shot_on-fault"' in no_day.text
    odd = client.post(shots, data={"rows": ROWS + "far1,45,33.5,0.3,-0.2\n"})
    assert odd.status_code == 200
    assert "rows are the same in every cell" in odd.text
    assert len(notebook.entries("group")) == 8


@pytest.mark.parametrize("units", [IMPERIAL, METRIC])
@pytest.mark.parametrize(
    ("impacts", "more"),
    [
        ([Impact(0.01, -0.02), Impact(None, 0.03), Impact(0.1, 0.1, called_bad=True)], {}),
        ([Impact(0.0, 0.0, 4)], {"slope_rad": 0.2, "crosswind_mps": 2.0}),
        ([Impact(0.02, 0.01, 6)], {"temperature_k": 280.0, "pin": 2}),
        ([Impact(0.02, 0.01), Impact(None, None, 2, missed=True)], {}),
        ([Impact(None, None, 3, missed=True)], {}),
        ([Impact(0.02, 0.01)], {"windage_m": -0.0012, "session": "dusk", "distances": "paces"}),
        ([Impact(0.02, 0.01)], {"windage_clicks": -14.0, "distances": "range finder"}),
    ],
)
def test_a_form_reads_back_what_it_was_filled_with(notebook, rig_id, units, impacts, more):
    rig = rig_of(notebook.entry(rig_id))
    one = observe_group("x", impacts, distance_m=50.0, reading_m=0.03, air=rig.air, **more)
    form = GroupForm(group_texts(one, "", rig, units))
    again = read_group(form, rig, units, (), "g1")
    assert form.is_good, form.faults
    for name in ("distance_m", "reading_m", "pin", "slope_rad", "crosswind_mps"):
        assert getattr(again, name) == pytest.approx(getattr(one, name), rel=1e-9)
    assert again.windage_m == pytest.approx(one.windage_m)
    said = [(each.session, each.windage_clicks, each.distances) for each in (one, again)]
    assert said[0] == said[1]
    for there, here in zip(one.group.impacts, again.group.impacts, strict=True):
        assert (there.arrows, there.called_bad) == (here.arrows, here.called_bad)
        assert here.missed == there.missed
        for side in ("right_m", "up_m"):
            was, now = getattr(there, side), getattr(here, side)
            assert now == (None if was is None else pytest.approx(was, rel=1e-9, abs=1e-12))
    if one.air is not None:
        assert again.air.temperature_k == pytest.approx(one.air.temperature_k, rel=1e-9)


def test_the_altitude_of_the_place_becomes_its_pressure(notebook, rig_id):
    rig = rig_of(notebook.entry(rig_id))
    high, low = (
        read_group(GroupForm(LOW | {"air": air}), rig, IMPERIAL, (), "g1").air
        for air in ("5000 ft", "843.1 hPa")
    )
    # ICAO Doc 7488: 84307 Pa at 5000 ft (1524 m); 10 Pa for rounding and geopotential height
    assert high.pressure_pa == pytest.approx(84307.0, abs=10.0)
    assert low.pressure_pa == pytest.approx(84310.0)
    assert high.temperature_k == rig.air.temperature_k
    form = GroupForm(group_texts(_at(rig, low), "", rig, IMPERIAL))
    assert form["air"] == "843.1 hPa"
    # The sample's sheet says 1013 hPa: to say so again is to say nothing.
    assert read_group(GroupForm(LOW | {"air": "1013 hPa"}), rig, IMPERIAL, (), "g1").air is None


def _at(rig, air):
    where = {"distance_m": 20.0, "reading_m": 0.02, "temperature_k": rig.air.temperature_k}
    return observe_group("x", [Impact(0.0, 0.0)], air=air, **where)


def test_the_form_of_a_group_always_has_a_row(client, groups):
    for rows in ("0", "-1", "x", "99", "999999"):
        assert 'name="right-1"' in client.get(f"{groups}/new?rows={rows}").text


def test_names_are_found_that_nobody_has():
    assert free_name("far", {"far", "far 2"}) == "far 3"
    assert next_name({"g2"}) == "g3"


def test_a_day_that_has_not_come_is_refused_beside_its_field(client, rig_id, notebook):
    """Tomorrow may have come elsewhere on earth; the day after has not."""
    today = datetime.now(UTC).date()
    late, tomorrow = ((today + timedelta(days=days)).isoformat() for days in (3, 1))
    entry = re.search(r'name="entry" value="([0-9a-f]{20})"',
                      client.get(f"/rigs/{rig_id}/groups/new").text)[1]  # fmt: skip
    typed = {"distance": "30 yd", "reading": "23.1", "right-1": "0.4", "up-1": "0.9",
             "entry": entry, "keep": "yes"}  # fmt: skip
    sent = client.post(f"/rigs/{rig_id}/groups/new", data=typed | {"date": late})
    assert sent.status_code == 422
    assert f"&#34;{late}&#34; has not come yet. Write the day it was" in sent.text
    assert 'value="23.1"' in sent.text
    client.post(f"/rigs/{rig_id}/tape", data={})
    on = client.post(f"/rigs/{rig_id}/on-sight", data={"strip": "2", "stuck_on": late})
    assert "has not come yet" in on.text
    session = notebook.entries("session", rig_id)[0]
    day = {"shot_on": late, "note": "", "seen": str(session.number)}
    said = client.post(f"/rigs/{rig_id}/sessions/{session.id}", data=day)
    assert "has not come yet" in said.text
    files = {"sheet": ("h.toml", b"")}
    filed = client.post("/rigs/new/file", files=files, data={"shot_on": late})
    assert "has not come yet" in filed.text
    asked = client.post(f"/api/rigs/{rig_id}/sessions", json={"shot_on": late})
    assert (asked.status_code, asked.json()["place"]) == (422, "shot_on")
    kept = client.post(f"/rigs/{rig_id}/groups/new", data=typed | {"date": tomorrow})
    assert kept.status_code == 303
