"""Outdoors: what goes out with the archer: range card, slopes, weather, wind, budget, pocket card.

Holds:  /rigs/{rig_id}/ask/card and its neighbours with their pictures; the card as a file, noted
        when it is printed; /rigs/{rig_id}/picture; the pocket card opened and saved.
Never:  what is asked or said (questions), how cards and pictures are drawn.
"""

from collections.abc import Mapping
from functools import lru_cache, partial
from urllib.parse import urlencode

from fastapi import APIRouter
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from tapewright import __version__
from tapewright.faces.charts import PICTURES, can_draw, picture_bytes
from tapewright.faces.kept_rigs import rig_of
from tapewright.faces.pocket.page import LISTED_M, page_policy, pocket_page
from tapewright.faces.web.api.offline_pack import carried_of, pack_of
from tapewright.faces.web.forms import Form
from tapewright.faces.web.page_request import At, Fields, PageRequest, attachment
from tapewright.faces.web.pages.question import Asked, ask, find, page_of
from tapewright.faces.web.print_choices import faulty, keep_print, note_print, send
from tapewright.ground.errors import TapewrightError
from tapewright.printing.card import SIZES, SIZES_OF, card_files
from tapewright.printing.print_fields import PAPER, read_paper
from tapewright.printing.print_record import Files, Wish
from tapewright.questions.all_questions import shelf
from tapewright.questions.budget import AT
from tapewright.questions.card import QUESTION as CARD
from tapewright.questions.card import card_csv
from tapewright.questions.question import Said
from tapewright.questions.rules import RULES, read_rules
from tapewright.services.calibrate import Answer
from tapewright.services.keep import Entry
from tapewright.services.make_card import RangeCard
from tapewright.services.pocket import PocketCard, make_pocket_card
from tapewright.services.stops import refuse_stopped
from tapewright.words.quantity_parser import in_unit, read_distances
from tapewright.words.rules import phone_words
from tapewright.words.trust_sentences import trust_words
from tapewright.words.unit_system import BY_DISTANCE

ROUTER = APIRouter(include_in_schema=False)

ON_PAPER = (SIZES, PAPER, RULES)
ASKED = (*CARD.fields, *ON_PAPER)
LOOK = tuple(field.name for field in ASKED)
KINDS = {"svg": "image/svg+xml", "png": "image/png"}
LASTING = "private, max-age=31536000, immutable"  # its address changes when the picture does
MOST_POCKETS, MOST_PICTURES = 8, 64
_drawn_picture = lru_cache(MOST_PICTURES)(picture_bytes)
# Question, its picture, what may be said while that still shows the same as the tables (it knows
# pin 1, the sheet's tolerance and the usual errors only), and what it shows.
PICTURED = {
    "card": ("flight", {"distances"},
             "The arrow's path against the line of sight, with the mark for {where}."),
    "slopes": ("slopes", {"distances", "slopes"},
               "How much less to dial up and down hill, and what the rule of thumb says."),
    "budget": ("budget", {"at"},
               "What each error costs at {where}, up or down and left or right."),
}  # fmt: skip


def field_page(at: At, rig_id: str) -> Response:
    """Page of a question of the field, by the end of its address."""
    asked = ask(at, rig_id, at.request.url.path.rpartition("/")[2])
    form = asked.form
    return page_of(
        at,
        rig_id,
        asked,
        "field.html",
        picture=_shown(at, at.rig(rig_id), asked),
        can_draw=can_draw(),
        query=urlencode({name: form[name] for name in LOOK if form[name]}),  # of the card
        on_paper=ON_PAPER,
    )


for _question in shelf("field"):
    ROUTER.get(f"/rigs/{{rig_id}}/ask/{_question.name}")(field_page)


def _shown(at: PageRequest, rig: Entry, asked: Asked) -> dict[str, str]:
    """Address of the picture that goes with an answer, and what it shows; empty for none."""
    if asked.found is None or asked.question.name not in PICTURED:
        return {}
    name, same, words = PICTURED[asked.question.name]
    said = {one.name for one in asked.fields if asked.form[one.name] not in ("", one.usual)}
    if not said <= same:
        return {}
    unit = at.units.distance
    where = f"{in_unit(_where_m(at, asked), unit):.6g} {unit}"
    ends = urlencode({"at": where, "units": unit, "of": _stamp(asked.found.answer, rig)})
    address = f"/rigs/{rig.id}/picture/{name}.svg?{ends}"
    return {"address": address, "shows": words.format(where=where)}


def _where_m(at: PageRequest, asked: Asked) -> float:
    """Distance of a picture: the one asked about, or of several that nearest to the usual. [m]"""
    usual_m = read_distances(AT.usual_in(at.units), "at").distances_m[0]
    if asked.question.name == "budget":
        return float(asked.found.distance_m)
    if asked.question.name == "card":
        distances_m: tuple[float, ...] = asked.found.order.distances_m
        return min(distances_m, key=lambda one: abs(one - usual_m))
    return usual_m


def _stamp(answer: Answer, rig: Entry) -> str:
    """Changes whenever a picture of this rig can."""
    return f"{answer.fingerprint}-{rig.number}-{__version__}"


@ROUTER.get("/rigs/{rig_id}/picture/{name}.{ending}")
def picture(at: At, rig_id: str, name: str, ending: str, units: str = "", of: str = "") -> Response:
    """A picture of a calibration; a browser may keep it as long as its address stands."""
    if name not in PICTURES or ending not in KINDS:
        raise HTTPException(404)
    rig, read = at.rig(rig_id), BY_DISTANCE.get(units, at.units)
    answer = at.answer(rig_id, read)
    said = Said(at.request.query_params)
    distance_m = said.distance("at", AT.usual_in(read))
    drawn = _drawn_picture(PICTURES[name], answer, distance_m, read, ending)
    lasts = of == _stamp(answer, rig) and units in BY_DISTANCE
    return Response(drawn, 200, {"Cache-Control": LASTING} if lasts else {}, KINDS[ending])


@ROUTER.get("/rigs/{rig_id}/card.{ending}")
def card_file(at: At, rig_id: str, ending: str) -> Response:
    """The card as a file; nothing is noted."""
    if ending not in ("pdf", "csv"):
        raise HTTPException(404)
    form, made = _card(at, rig_id, at.request.query_params)
    if made is not None:
        refuse_stopped(made.answer.rig)
        name = f"{made.answer.rig.name}-card"
        if ending == "csv":
            rows = card_csv(made, at.units)
            return Response(rows, 200, attachment(f"{name}.csv"), "text/csv; charset=utf-8")
        if files := _drawn(at, made, form):
            return send(files, name)
    return faulty(at, form, ASKED)


@ROUTER.post("/rigs/{rig_id}/card")
def card_printed(at: At, rig_id: str, fields: Fields) -> Response:
    """Note that this card is printed, and hand it over."""
    form, made = _card(at, rig_id, fields)
    if made is None or not _drawn(at, made, form):  # what cannot be printed is not noted
        return faulty(at, form, ASKED)
    return note_print(at, rig_id, "card", form, made.answer.fingerprint)


def _card(at: PageRequest, rig_id: str, said: Mapping[str, str]) -> tuple[Form, RangeCard | None]:
    """What was chosen, and the card asked for; None with the faults in the form."""
    at.rig(rig_id)
    form = Form({name: said.get(name, "").strip() for name in LOOK})
    return form, form.read("", lambda: find(at, at.answer(rig_id), CARD.name, form), None)


def _drawn(at: PageRequest, made: RangeCard, form: Form) -> Files:
    """The card on paper; nothing, with the faults in the form, if it cannot be printed."""
    wish = Wish(form.said, at.units, read=form.read)
    sizes, paper = wish.choice(SIZES), read_paper(wish)
    if not form.is_good:
        return ()
    rig = made.answer.rig
    rules = form.read("rules", lambda: read_rules(form.said, rig), rig.rules)
    sheets = SIZES_OF[sizes]
    draw = partial(card_files, made, at.units, at.today, paper, sheets, ("pdf",), rules)
    return form.read("", draw, ())


@ROUTER.get("/rigs/{rig_id}/pocket")
def pocket_about(at: At, rig_id: str) -> Response:
    """What a pocket card is; open it or save it."""
    rig, answer, wrong, trust = at.rig(rig_id), None, "", ""
    ruled: tuple[str, ...] = ()
    try:
        ruled = phone_words(rig_of(rig).rules)
        answer = at.answer(rig_id)
        trust = trust_words(answer, at.units)
    except TapewrightError as refused:
        wrong = str(refused)
    return at.page("pocket.html", rig=rig, answer=answer, wrong=wrong, trust=trust, ruled=ruled)


@ROUTER.post("/rigs/{rig_id}/pocket")
def pocket_taken(at: At, rig_id: str) -> Response:
    """Note that a pocket card is taken along, and hand it over."""
    at.rig(rig_id)
    answer = at.answer(rig_id)
    refuse_stopped(answer.rig)
    keep_print(at, rig_id, "pocket", Form(), answer.fingerprint)
    return at.go(f"/rigs/{rig_id}/pocket.html?save=1")


@ROUTER.get("/rigs/{rig_id}/pocket.html")
def pocket_file(at: At, rig_id: str, save: str = "") -> Response:
    """The card itself: one page that loads nothing, with a policy that says just that."""
    at.rig(rig_id)
    answer = at.answer(rig_id)
    carried = carried_of(at, rig_id, at.units)
    pack = pack_of(at, rig_id, at.units, carried)
    page = pocket_page(_pocket(answer), at.units, at.today, pack)
    headers = {"Content-Security-Policy": f"{page_policy()}; frame-ancestors 'none'"}
    if save:
        headers |= attachment(f"{answer.rig.name}-pocket.html")
    return Response(page, 200, headers, "text/html; charset=utf-8")


@lru_cache(maxsize=MOST_POCKETS)
def _pocket(answer: Answer) -> PocketCard:
    return make_pocket_card(answer, LISTED_M)
