"""House: the usual values of a shop or a club, one set for all rigs of the notebook.

Holds:  /house as a form and as text, its download; putting aside, taking up what lies aside.
Never:  what a line means (reading/house_fields.py), where a value stands in (calibration).
"""

from typing import Any

from fastapi import APIRouter
from fastapi.responses import PlainTextResponse, Response

from tapewright.faces.kept_house import house_in, houses_aside, take_up
from tapewright.faces.settings import new_id
from tapewright.faces.web.forms import Form, seen_number
from tapewright.faces.web.page_request import At, Fields, PageRequest, attachment
from tapewright.faces.web.sheet_forms import (
    Typed,
    house_sections,
    kept_house,
    read_typed_house,
)
from tapewright.ground.errors import EditedMeanwhile
from tapewright.reading.house_values import MOST_BYTES, house_template, read_house
from tapewright.reading.sheet_form_lines import has_comments
from tapewright.services.keep import Entry, KeptHouse, kept_as

ROUTER = APIRouter(include_in_schema=False)

NAME = "Your shop or club"
SHOWN = {"saved": False, "newer": False}  # unless said


@ROUTER.get("/house")
def house_page(at: At) -> Response:
    """The house values that stand, to be read and edited; if none do, what to begin with."""
    house, asked = house_in(at.notebook), at.request.query_params
    if house is not None:
        typed = kept_house(kept_as(house, KeptHouse).sheet, as_text="text" in asked)
    elif "text" in asked:
        sheet = house_template(NAME, metric=at.units.distance == "m")
        typed = kept_house(sheet, as_text=True)
    else:
        typed = Typed(Form(), "", None, {}, is_text=False)
    # What an archive brought may not be readable: then it is shown as text with its fault.
    status = 200 if typed.is_text else None
    return _page(at, house, typed, saved="saved" in asked, status=status)


@ROUTER.get("/house.toml")
def house_file(at: At) -> Response:
    """The house values as a file, for the command line."""
    house = house_in(at.notebook)
    metric = at.units.distance == "m"
    text = kept_as(house, KeptHouse).sheet if house else house_template(NAME, metric=metric)
    return PlainTextResponse(text, headers=attachment("house.toml"), media_type="application/toml")


@ROUTER.post("/house")
def keep_house(at: At, fields: Fields) -> Response:
    """Keep a new version of the house values, and calibrate every rig anew."""
    house, typed = house_in(at.notebook), read_typed_house(fields)
    if len(typed.sheet) > MOST_BYTES:
        place = "text" if typed.is_text else ""
        typed.form.faults[place] = f"Keep it under {MOST_BYTES // 1000} kB."
    if not typed.form.is_good:
        return _page(at, house, typed)
    seen, body = seen_number(fields), KeptHouse(typed.sheet, read_house(typed.sheet).name)
    try:
        if house is None:
            at.notebook.add(body, now=at.now, entry_id=fields.get("fresh") or new_id())
        elif body != house.body:
            at.notebook.save(house.id, body, seen=seen, now=at.now)
    except EditedMeanwhile:
        return _page(at, house_in(at.notebook), typed, newer=True)
    at.recalibrate_all()
    return at.go("/house?saved=1")


@ROUTER.post("/house/{house_id}/withdraw")
def house_aside(at: At, house_id: str, fields: Fields) -> Response:
    """Put the house values aside: rigs do without."""
    kept_as(at.notebook.entry(house_id), KeptHouse)
    at.mark(house_id, seen_number(fields))
    at.recalibrate_all()
    return at.go("/house")


@ROUTER.post("/house/{house_id}/take-up")
def house_taken_up(at: At, house_id: str) -> Response:
    """Let house values that lie aside stand in place of those that do."""
    take_up(at.notebook, at.notebook.entry(house_id), at.now)
    at.recalibrate_all()
    return at.go("/house?saved=1")


def _page(at: PageRequest, house: Entry | None, typed: Typed, **more: Any) -> Response:  # noqa: ANN401 — for the template
    lost = house is not None and not typed.is_text
    things = {
        "house": house,
        "typed": typed,
        "form": typed.form,
        "groups": () if typed.is_text else house_sections(typed),
        "lost": lost and house is not None and has_comments(kept_as(house, KeptHouse).sheet),
        "aside": houses_aside(at.notebook),
        "fresh": new_id(),
        "waiting": at.notebook.number_of("job"),
    }
    return at.page("house.html", **(SHOWN | things | more))
