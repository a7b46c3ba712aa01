"""Wrong input, typed on purpose into every form: it stays, and place and mend are told.

The browser's own check of needed fields is left out, so that the program's answer is seen.
"""

import re

import pytest
from playwright.sync_api import expect
from rigs_kept import keep_rig

SAYS = frozenset({422})
RIG = "/rigs/{rig_id}"
# Address, what is typed by field, the button, the field that is wrong, words of its mend.
FORMS = [
    ("/rigs/new", {"name": "Heron 2", "arrow.mass": "heavy", "arrow.shaft_diameter": "6.0 mm",
     "bow.launch_speed": "278"}, "Keep this rig", "arrow.mass", "Write one number"),
    ("/rigs/new", {"name": "Heron 2", "bow.launch_speed": "278"}, "Keep this rig",
     "bow.launch_speed", "unit"),
    ("/rigs/new?text=1", {"text": "name = Heron"}, "Keep this rig", "text", "line 1"),
    ("/printers", {"name": "Den", "across": "long", "down": "99.8"}, "Keep this printer",
     "across", "99.6 mm"),
    ("/printers/{printer_id}", {"name": "Den", "across": "99.5", "down": "120"},
     "Keep as version", "down", "."),
    (RIG + "/sheet", {"arrow.mass": "431"}, "Keep this sheet", "arrow.mass", "unit"),
    (RIG + "/sheet?text=1", {"text": "schema = 1"}, "Keep this sheet", "text", "arrow"),
    (RIG + "/change/try", {"arrow.mass": "as before"}, "Try it", "arrow.mass", "Write one number"),
    (RIG + "/change", {"distances": "far", "butt": "1 m"}, "Show", "distances", "Write"),
    (RIG + "/sessions/{session_id}", {"shot_on": "", "note": "windy"}, "Keep", "shot_on", "Write"),
    (RIG + "/shots", {"rows": "group,distance_yd\n1,twenty"}, "Keep these groups", "rows",
     "reading_mm"),
    (RIG + "/groups/new", {"distance": "20", "reading": "low", "right-1": "0.5", "up-1": "0.5"},
     "Keep this group", "reading", "such as"),
    (RIG + "/groups/new", {"distance": "20", "reading": "27.5", "right-2": "left"},
     "Keep this group", "right-2", "Write"),
    (RIG + "/groups/{group_id}", {"distance": "-20", "note": "windy"}, "Keep the change",
     "distance", "."),
    (RIG + "/plan", {"wanted": "far", "arrows": "30"}, "Make this plan", "wanted", "Write"),
    (RIG + "/marks", {"distances": "far"}, "Show", "distances", "Write"),
    (RIG + "/compare", {"distances": "nowhere"}, "Compare", "distances", "Write"),
    (RIG + "/ask/clicks", {"distances": "far"}, "Work it out", "distances", "Write"),
    (RIG + "/ask/limits", {"distances": "far"}, "Work it out", "distances", "Write"),
    (RIG + "/ask/level", {"cant": "a bit", "slope": "20 deg"}, "Work it out", "cant", "Write"),
    (RIG + "/ask/strips", {"between": "20"}, "Work it out", "between", "Write near and far"),
    (RIG + "/ask/group", {"clicks_per_turn": "many"}, "Work it out", "clicks_per_turn", "Write"),
    (RIG + "/ask/card", {"distances": "all"}, "Work it out", "distances", "Write"),
    (RIG + "/ask/slopes", {"distances": "all"}, "Work it out", "distances", "Write"),
    (RIG + "/ask/weather", {"temperature": "cold"}, "Work it out", "temperature", "Write"),
    (RIG + "/ask/wind", {"cross": "strong", "spot": "4 in"}, "Work it out", "cross", "Write"),
    (RIG + "/ask/budget", {"at": "there", "cant": "1 deg"}, "Work it out", "at", "Write"),
    (RIG + "/prove", {"between": "20"}, "Tell the strip anew", "between", "Write near and far"),
]  # fmt: skip
IN_THE_PREVIEW = [
    ("tape", {"distances": "20:60"}, "Distances", "such as"),
    ("tape", {"width": "wide"}, "Width of the strip", "Write"),
    ("gauge", {"start": "5", "reach": "long"}, "Length, mm", "Write"),
    ("target", {"size": "large"}, "Size of the grid", "Write 60x90 cm"),
]


@pytest.fixture
def opened(enter, notebook):
    """Somebody who looks at a page of a kept rig, its folds open and needs unchecked."""
    page, ids = enter(refused=SAYS), keep_rig(notebook)

    def open_(address):
        page.goto(address.format(**ids))
        page.evaluate(
            "document.querySelectorAll('details').forEach(one => { one.open = true; });"
            "[...document.forms].forEach(one => { one.noValidate = true; })"
        )
        return page

    return open_


def test_each_form_keeps_what_was_typed_and_says_place_and_mend(opened):
    silent = []
    for address, texts, button, wrong, mend in FORMS:
        page = opened(address)
        for name, text in texts.items():
            page.locator(f"main [id='{name}']").fill(text)
        page.get_by_role("button", name=re.compile(f"^{button}")).last.tap()
        page.wait_for_load_state()
        field = page.locator(f"main [id='{wrong}']")
        try:
            expect(field).to_have_attribute("aria-invalid", "true")
            told = " ".join(
                page.locator(f"[id='{one}']").inner_text()
                for one in (field.get_attribute("aria-describedby") or "").split()
            )
            told = told or page.get_by_role("alert").first.inner_text()
            kept = {name: page.locator(f"main [id='{name}']").input_value() for name in texts}
            assert kept == texts, f"{kept} instead of {texts}"
            assert mend in told, told
        except AssertionError as failed:
            silent.append(f"{address}: {str(failed)[:200]}")
    assert not silent, "\n".join(silent)


def test_a_look_that_cannot_be_printed_is_told_in_its_preview_and_stays(opened):
    for what, texts, label, mend in IN_THE_PREVIEW:
        page = opened(f"{RIG}/{what}")
        for name, text in texts.items():
            page.locator(f"[id='{name}']").fill(text)
        page.get_by_role("button", name="Show it").tap()
        told = page.locator("#preview").get_by_role("alert")
        expect(told).to_contain_text(f"{label}:")
        expect(told).to_contain_text(mend)
        for name, text in texts.items():
            expect(page.locator(f"[id='{name}']")).to_have_value(text)


def test_a_file_that_is_none_is_refused_whole(opened, notebook):
    page = opened("/rigs/new/file")
    no_sheet = {"name": "notes.txt", "mimeType": "text/plain", "buffer": b"buy strings"}
    page.get_by_label("Rig sheet").set_input_files(no_sheet)
    page.get_by_role("button", name="Keep this rig").tap()
    expect(page.locator("#fault-sheet")).to_contain_text("notes.txt, line 1")
    page.goto("/archive")
    page.get_by_label("Archive").set_input_files(no_sheet)
    page.get_by_role("button", name="Take it in").tap()
    expect(page.get_by_role("alert")).to_contain_text("Nothing was changed")
    assert len(notebook.entries("rig")) == 2
