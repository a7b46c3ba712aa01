"""The rig sheet in the browser: described, corrected, changed, from a file."""

import datetime as dt
import html
import re
from html import unescape
from importlib.resources import files

import pytest
from exact_units import FOOT_M, INCH_M

from tapewright.faces.web.sheet_forms import FIRST, blank_typed, form_words, sections
from tapewright.reading.rig_sheet import read_rig_sheet
from tapewright.reading.rig_sheet_fields import KEYS
from tapewright.reading.sheet_form_lines import sheet_lines, sheet_values
from tapewright.services.keep import KeptChange, KeptRig

SAMPLE = files("tapewright.faces") / "sample"
HERON = (SAMPLE / "heron.toml").read_text(encoding="utf-8")
SHOTS = (SAMPLE / "heron-shots.csv").read_bytes()
WREN = {
    "name": "Wren",
    "hand": "left",
    "arrow.mass": "420 gr",
    "arrow.shaft_diameter": "6 mm",
    "bow.launch_speed": "285 fps",
    "sight.peep_height": "4.6 in ± 0.15",
    "air.temperature": "15 °C",
}
RECURVE = {
    "bow.kind": "recurve",
    "name": "Reed",
    "hand": "right",
    "arrow.mass": "330 gr",
    "arrow.shaft_diameter": "5.5 mm",
    "bow.draw_weight": "42 lbf",
    "bow.draw_length": "28.5 in",
    "air.temperature": "15 °C",
}
CORRECTED = {"seen": "1", "why": "corrected"}
CHANGED = {"seen": "1", "why": "changed", "words": "heavier points"}


def made(answer):
    assert answer.status_code == 303, answer.text
    return re.search(r"/rigs/([0-9a-f]{20})", answer.headers["location"])[1]


def values(**changed):
    return sheet_values(HERON) | {key.replace("__", "."): text for key, text in changed.items()}


def test_the_first_rig_asks_a_few_lines_and_folds_the_rest(client):
    page = client.get("/rigs/new").text
    first = page.index("To begin")
    assert all(first < page.index(f'id="{key}"') < page.index("<h2>Bow") for key in FIRST)
    assert page.count('<details class="fold" open') == 1
    assert "Left open: 4.5 in (114 mm)" in page
    assert "<svg" in page


def test_the_kind_of_bow_is_asked_first(client):
    page = client.get("/rigs/new").text
    assert FIRST[0] == "bow.kind"
    begun = page.index('id="bow.kind"')
    assert begun < page.index('id="name"')
    offered = re.findall(r'<option value="([a-z]*)"', page[begun : page.index("</select>", begun)])
    assert offered == ["", "compound", "recurve", "longbow"]
    # lines of one kind only, and which kind hides them; a browser's test looks whether they show
    hidden = {"sight.peep_height": "with-peep", "bow.rated_speed": "with-peep",
              "checks.peep": "with-peep", "sight.eye_height": "without-peep"}  # fmt: skip
    for key, way in hidden.items():
        assert re.search(rf'<div class="field said {way}">\s*<label for="{key}"', page), key
    assert re.search(r'<div class="field said">\s*<label for="sight.sight_radius"', page)


def test_a_line_that_says_something_is_never_hidden(client):
    rig_id = made(client.post("/rigs/new", data=RECURVE | {"sight.peep_height": "118 mm"}))
    page = client.get(f"/rigs/{rig_id}/sheet").text
    assert re.search(r'<div class="field said">\s*<label for="sight.peep_height"', page)
    assert "“Peep height” counts as “Eye above the arrow”" in page


def test_a_recurve_is_kept_and_its_form_speaks_of_it(client, notebook):
    rig_id = made(client.post("/rigs/new", data=RECURVE | {"sight.eye_height": "118 mm ± 5"}))
    said = read_rig_sheet(notebook.entry(rig_id).body.sheet)[0]
    assert said.bow.kind == "recurve"
    assert said.sight.peep_height_m.value == pytest.approx(0.118)
    page = client.get(f"/rigs/{rig_id}/sheet").text
    assert "such as 190 ft/s ± 3" in page
    assert "Left open: 35 in (889 mm), give or take 2 in." in page
    assert "What happened?" not in page  # before the first arrow nothing hangs on it
    assert "vane, anchor, pin" in client.get(f"/rigs/{rig_id}/sheet?why=changed").text
    assert (
        "vane, peep, pin"
        in client.get(f"/rigs/{made(client.post('/rigs/new', data=WREN))}/sheet?why=changed").text
    )


@pytest.mark.parametrize("kind", ["compound", "recurve", "longbow"])
def test_a_text_to_fill_in_is_that_of_a_kind(client, kind):
    page = html.unescape(client.get(f"/rigs/new?text=1&kind={kind}").text)
    assert f'\nkind = "{kind}"\n' in page
    assert (f"a {kind}'s" in page, "?text=1&kind=" + kind in page) == (True, False)
    assert "\n#kind = " in html.unescape(client.get("/rigs/new?text=1&kind=crossbow").text)


def test_a_rig_is_kept_as_typed(client, notebook):
    kept = notebook.entry(made(client.post("/rigs/new", data=WREN))).body
    assert kept.name == "Wren"
    said = read_rig_sheet(kept.sheet)[0]
    assert said.hand == "left"
    assert said.bow.launch_speed_mps.value == pytest.approx(285 * FOOT_M)
    assert said.sight.peep_height_m.sd == pytest.approx(0.15 * INCH_M)


def test_a_form_sent_twice_is_kept_once(client, notebook):
    fresh = re.search(r'name="fresh" value="(\w+)"', client.get("/rigs/new").text)[1]
    assert made(client.post("/rigs/new", data=WREN | {"fresh": fresh})) == fresh
    assert made(client.post("/rigs/new", data=WREN | {"fresh": fresh})) == fresh
    other = client.post("/rigs/new", data=WREN | {"fresh": fresh, "name": "Robin"})
    assert other.status_code == 409
    assert "Robin" in other.text
    assert fresh not in other.text
    assert len(notebook.entries("rig")) == 1


def test_faults_stand_beside_their_lines_and_nothing_typed_is_lost(client, notebook):
    typed = WREN | {"name": "", "arrow.mass": "420", "bow.draw_weight": "6000 lbf"}
    page = client.post("/rigs/new", data=typed)
    assert page.status_code == 422
    for line, words in [
        ("name", "This is needed"),
        ("arrow.mass", "has no unit"),
        ("bow.draw_weight", "above the limit of 120 lbf"),
    ]:
        fault = re.search(rf'id="fault-{re.escape(line)}">([^<]+)<', page.text)[1]
        assert words in fault
        assert (
            f'aria-describedby="{"hint-" if "hint-" + line in page.text else "fault-"}' in page.text
        )
    assert 'value="6000 lbf"' in page.text
    assert 'value="285 fps"' in page.text
    assert not notebook.entries("rig")


def test_oddities_are_told_before_and_after_keeping_and_do_not_block(client, notebook):
    odd = WREN | {"bow.launch_speed": "120 fps"}
    look = client.post("/rigs/new", data=odd | {"look": "1"})
    assert look.status_code == 200
    assert "120 ft/s is possible, but unusual" in look.text
    assert not notebook.entries("rig")
    kept = client.post("/rigs/new", data=odd)
    assert kept.headers["location"].endswith("/sheet?saved=1")
    assert "120 ft/s is possible, but unusual" in client.get(kept.headers["location"]).text


def test_a_sheet_without_air_is_kept_at_once_and_a_refused_one_leads_to_its_lines(client):
    airless = WREN | {"air.temperature": ""}
    kept = client.post("/rigs/new", data=airless)
    here = f"/rigs/{made(kept)}"
    assert kept.headers["location"] == here
    again = client.post(f"{here}/sheet", data=airless | {"seen": "1", "arrow.mass": "431 gr"})
    assert again.headers["location"] == here  # never shot: nobody is asked what happened
    refused = client.post("/rigs/new", data=WREN | {"arrow.mass": "431", "name": ""})
    alert = refused.text.partition('role="alert"')[2].partition("</div>")[0]
    assert re.findall(r'href="#([a-z_.]+)"', alert) == ["name", "arrow.mass"]


def test_a_page_leads_to_the_line_it_asks_for(client):
    here = f"/rigs/{made(client.post('/rigs/new', data=WREN))}"
    for at, title in (("checks", "Check list"), ("sight.reading_per_travel", "Sight")):
        page = client.get(f"{here}/sheet?at={at}").text
        (fold,) = re.findall(r'<details class="fold" open>\s*<summary><h2>([^<]*)', page)
        assert fold.startswith(title)


def test_an_arrow_too_light_is_stopped_at_the_top_of_the_page(client):
    look = client.post(
        "/rigs/new", data=WREN | {"arrow.mass": "250 gr", "bow.draw_weight": "60 lbf", "look": "1"}
    )
    assert re.search(r'role="alert"><p>STOP: an arrow of 250 gr', look.text)


def test_markup_in_a_name_is_shown_as_typed(client):
    rig_id = made(client.post("/rigs/new", data=WREN | {"name": "<script>alert(1)</script>"}))
    for address in ("/sheet", "/sheet?text=1", "/change", "/change/try", "/compare"):
        page = client.get(f"/rigs/{rig_id}{address}").text
        assert "<script>alert" not in page
        assert "&lt;script&gt;alert" in page


def test_a_new_rig_may_be_written_as_text(client, notebook):
    page = client.get("/rigs/new?text=1").text
    assert "# Rig sheet" in page
    rig_id = made(client.post("/rigs/new", data={"text": HERON.replace("\n", "\r\n")}))
    assert notebook.entry(rig_id).body.sheet == HERON


def test_a_wrong_text_names_the_line(client, rig_id):
    typed = HERON.replace('mass = "420 gr ± 2"', 'mass = "420"')
    page = client.post(f"/rigs/{rig_id}/sheet", data=CORRECTED | {"text": typed})
    assert page.status_code == 422
    assert "line 14, arrow.mass" in page.text
    assert "mass = &#34;420&#34;" in page.text
    page = client.post(f"/rigs/{rig_id}/sheet", data=CORRECTED | {"text": "x" * 100_001})
    assert page.status_code == 422
    assert "more than 100 kB" in page.text


def test_comments_are_said_to_be_lost_by_the_form_only(client, rig_id):
    words = "holds comments"
    assert words in client.get(f"/rigs/{rig_id}/sheet").text
    assert words not in client.get(f"/rigs/{rig_id}/sheet?text=1").text
    client.post(f"/rigs/{rig_id}/sheet", data=CORRECTED | values(archer__tolerance="4 in"))
    assert words not in client.get(f"/rigs/{rig_id}/sheet").text


def test_a_correction_is_a_new_version_and_no_change(client, notebook, rig_id):
    answer = client.post(f"/rigs/{rig_id}/sheet", data=CORRECTED | values(archer__tolerance="4 in"))
    assert answer.headers["location"] == f"/rigs/{rig_id}"
    assert [one.number for one in notebook.history(rig_id)] == [2, 1]
    assert not notebook.entries("change", rig_id)
    assert len({one.body.fingerprint for one in notebook.entries("calibration", rig_id)}) == 2


def test_saving_what_is_there_already_makes_no_version(client, notebook, rig_id):
    text = notebook.entry(rig_id).body.sheet
    client.post(f"/rigs/{rig_id}/sheet", data=CORRECTED | {"text": text})
    same = notebook.entry(rig_id)
    assert same.body.sheet == text
    before = same.number
    client.post(f"/rigs/{rig_id}/sheet", data=CORRECTED | {"text": text, "seen": str(before)})
    assert notebook.entry(rig_id).number == before


def test_a_change_is_kept_with_the_sheets_before_and_after(client, notebook, rig_id):
    changed = values(arrow__mass="455 gr") | CHANGED | {"new_string": "1"}
    answer = client.post(f"/rigs/{rig_id}/sheet", data=changed)
    assert answer.headers["location"] == f"/rigs/{rig_id}/change"
    (change,) = notebook.entries("change", rig_id)
    assert change.body == KeptChange(1, 1, 2, new_string=True, words="heavier points")
    assert "455 gr" in notebook.entry(rig_id, 2).body.sheet


def test_saving_asks_why_and_a_change_must_tell_a_difference(client, notebook, rig_id):
    page = client.post(f"/rigs/{rig_id}/sheet", data={"seen": "1"} | values())
    assert page.status_code == 422
    assert "measured better or changed the bow" in page.text
    page = client.post(f"/rigs/{rig_id}/sheet", data=CHANGED | values())
    assert page.status_code == 422
    assert "no difference that reaches a mark" in page.text
    page = client.post(f"/rigs/{rig_id}/sheet", data=CHANGED | values() | {"words": "x" * 501})
    assert page.status_code == 422
    assert notebook.entry(rig_id).number == 1


def test_saving_asks_why_where_a_group_put_aside_may_come_back(client, notebook):
    rig_id = made(client.post("/rigs/new", data=WREN))
    hit = {"distance": "10 yd", "reading": "12", "right-1": "1", "up-1": "2"}
    client.post(f"/rigs/{rig_id}/groups/new", data=hit)
    (group,) = notebook.entries("group", rig_id)
    client.post(f"/rigs/{rig_id}/groups/{group.id}/withdraw", data={"seen": "1"})
    page = client.post(f"/rigs/{rig_id}/sheet", data=WREN | {"seen": "1", "arrow.mass": "455 gr"})
    assert "measured better or changed the bow" in page.text


def test_two_people_editing_see_both_and_may_save_on_top(client, notebook, rig_id):
    here = f"/rigs/{rig_id}/sheet"
    assert client.post(here, data=CORRECTED | values(archer__tolerance="4 in")).status_code == 303
    mine = CHANGED | values(arrow__mass="455 gr")
    page = client.post(here, data=mine)
    assert page.status_code == 409
    assert re.search(r"Tolerance</th><td>3 in</td><td>4 in", page.text)
    assert 'value="455 gr"' in page.text
    assert 'name="seen" value="2"' in page.text
    assert not notebook.entries("change", rig_id)
    text = client.post(here, data=CORRECTED | {"text": HERON})
    assert text.status_code == 409
    assert "Theirs" in text.text
    assert client.post(here, data=mine | {"seen": "2"}).status_code == 303
    (change,) = notebook.entries("change", rig_id)
    assert (change.body.from_rig, change.body.to_rig) == (2, 3)


def test_a_sheet_is_downloaded_as_it_is_kept(client, rig_id):
    file = client.get(f"/rigs/{rig_id}/sheet.toml")
    assert file.text == HERON
    assert "Heron%20%28invented%29.toml" in file.headers["content-disposition"]


def test_a_rig_comes_from_files_with_its_groups(client, notebook):
    sent = {"sheet": ("heron.toml", HERON.encode()), "shots": ("heron-shots.csv", SHOTS)}
    rig_id = made(client.post("/rigs/new/file", files=sent, data={"shot_on": "2026-05-01"}))
    (session,) = notebook.entries("session", rig_id)
    assert session.body.shot_on == "2026-05-01"
    assert "heron-shots.csv" in session.body.note
    assert notebook.entries("group", rig_id)
    assert "Trusted" in client.get(f"/rigs/{rig_id}").text


def test_a_rig_comes_from_its_sheet_alone(client, notebook):
    rig_id = made(client.post("/rigs/new/file", files={"sheet": ("h.toml", HERON.encode())}))
    assert notebook.entry(rig_id).body == KeptRig(HERON, "Heron")
    assert not notebook.entries("session", rig_id)


@pytest.mark.parametrize(
    ("files_sent", "shot_on", "words"),
    [
        ({}, "2026-05-01", "no file was chosen"),
        ({"sheet": ("h.toml", b"\xff\xfe")}, "2026-05-01", "UTF-16"),
        ({"sheet": ("h.toml", b"x" * 100_001)}, "2026-05-01", "larger than 100 kB"),
        ({"sheet": ("h.toml", b'name = "A"')}, "2026-05-01", "this key is missing"),
        ({"sheet": ("h.toml", HERON.encode()), "shots": ("s.csv", b"a,b\n1,2\n")}, "2026-05-01",
         "s.csv"),
        ({"sheet": ("h.toml", HERON.encode()), "shots": ("s.csv", SHOTS)}, "May", "shot_on"),
    ],
)  # fmt: skip
def test_a_file_that_is_wrong_keeps_nothing(client, notebook, files_sent, shot_on, words):
    page = client.post("/rigs/new/file", files=files_sent, data={"shot_on": shot_on})
    assert page.status_code == 422
    assert words in page.text
    assert not notebook.entries("rig")


def test_a_form_asks_in_the_units_of_its_reader_and_names_each_row(client):
    line = re.compile(
        r'<label for="([^"]+)">([^<]+?) *<(?:[^<]|<(?!input|select))*?'
        r'<(?:input|select)(?:[^>]*?placeholder="such as ([^"]+)")?'
    )

    def shown(units):
        client.cookies.set("units", units)
        page = client.get("/rigs/new").text
        return {name: (label, example) for name, label, example in line.findall(page)}

    ours, theirs = shown("imperial"), shown("metric")
    assert ours["bow.draw_length"] == ("Draw length", "29 in")
    assert theirs["bow.draw_length"] == ("Draw length", "737 mm")
    assert (ours["air.temperature"][1], theirs["air.temperature"][1]) == ("59 °F", "15 °C")
    assert ours["sight.pins_below_first[1]"][0] == "Pin 2 below the first"
    assert ours["sight.pins_below_first[3]"][0] == "Pin 4 below the first"
    assert ours["sight.travel_ends[1]"][0] == "One end of the travel"
    assert ours["sight.travel_ends[2]"][0] == "The other end of the travel"
    assert ours["bow.chronograph[2].at"] == ("Read at", "1 yd")
    assert ours["name"] == ("Name of the rig", "")


def test_a_kept_sheet_that_cannot_be_read_names_the_line_to_mend(client, notebook):
    sheet = 'name = "A"\nhand = "right"\n[arrow]\nmass = "heavy"\n'
    rig_id, now = "0123456789abcdef0123", dt.datetime(2026, 1, 2, tzinfo=dt.UTC)
    notebook.add(KeptRig(sheet, "A"), entry_id=rig_id, now=now)
    for address in ("sheet", "sheet?text=1"):
        told = client.get(f"/rigs/{rig_id}/{address}")
        assert told.status_code == 200
        page = unescape(told.text)
        assert 'your sheet, line 4, arrow.mass: "heavy" does not start with a number' in page
        assert sheet in page


def test_what_is_said_of_a_whole_table_stands_beside_one_of_its_lines(client):
    no_speed = {name: text for name, text in WREN.items() if name[:3] not in ("bow", "air")}
    page = client.post("/rigs/new", data=no_speed | {"look": "1"}).text
    assert re.search(r'id="note-bow.launch_speed">[^<]*<strong>[^<]*</strong> Nothing in', page)
    assert re.search(r'id="note-air.temperature">No air is said', page)


def test_every_line_has_words_and_a_place_in_the_form():
    keys = {line.key for line in sheet_lines({})}
    assert set(KEYS) == keys
    assert all(key.label and key.purpose for key in KEYS.values())
    for is_new in (True, False):
        shown = sections(blank_typed(""), is_new=is_new)
        lines = [line.name for section in shown for line in section.lines]
        assert sorted(lines) == sorted(line.name for line in sheet_lines({}))
    assert all(meaning for key in KEYS.values() for _, meaning in key.choices)


def test_what_is_told_of_a_line_left_open_is_what_is_taken():
    for key, number in [  # usual numbers of the trade, without a source; in the unit of the line
        ("bow.brace_height", 6.5),  # in
        ("bow.rated_speed", 315.0),  # ft/s
        ("bow.rated_draw_length", 30.0),  # in; the trade's rating: 70 lb, 30 in, 350 gr
        ("arrow.length", 28.5),  # in
        ("arrow.drag_coefficient", 2.1),  # [ORT20], [MIY21]
        ("sight.peep_height", 4.5),  # in
        ("sight.sight_radius", 33.0),  # in
        ("sight.arrow_margin", 6.0),  # mm
        ("archer.tolerance", 3.0),  # in
        ("archer.reading_error", 0.1),  # mm
    ]:
        told = float(re.match(r"[0-9.]+", KEYS[key].left_open)[0])
        assert told == pytest.approx(number, rel=1e-9), key


def test_keys_become_the_words_of_the_form():
    said = form_words('Add at = "1 yd" (yours), or leave travel_ends out of [[bow.chronograph]]')
    assert said == (
        "Add “Read at”: 1 yd (yours), or leave “Ends of the travel” out of bow.chronograph"
    )
