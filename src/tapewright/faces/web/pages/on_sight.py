"""On sight: what is on a rig's sight: a tape that was stuck on, or its own numbers.

Holds:  /rigs/{rig_id}/on-sight: looking, sticking a printed strip on, taking it off.
Never:  what a tape shows (words/readings_on_tape.py), which tapes are kept
        (faces/kept_tapes.py), how well a strip lies (services/stick_tape.py).
"""

from dataclasses import dataclass
from itertools import islice

from fastapi import APIRouter
from fastapi.responses import Response

from tapewright.faces import kept_tapes
from tapewright.faces.kept_prints import prints_of, record_of
from tapewright.faces.kept_rigs import Kept, setup_now
from tapewright.faces.kept_tapes import OnSight
from tapewright.faces.settings import new_id
from tapewright.faces.web.forms import Form
from tapewright.faces.web.page_request import At, Fields, Files, PageRequest
from tapewright.faces.web.session_lists import aimed_words, kept_of_rig
from tapewright.ground.errors import BadInput, EditedMeanwhile, TapewrightError
from tapewright.reading.text_file import decode_text
from tapewright.reading.typed_reading import read_reading
from tapewright.services.keep import KeptPrint, KeptTape, kept_as
from tapewright.services.record_groups import Observation
from tapewright.services.stick_tape import Laying, TapeRecord, lies_anywhere, read_record
from tapewright.words.number_format import plain
from tapewright.words.quantity_parser import in_unit, read_distances, with_unit
from tapewright.words.readings_on_tape import shown_words

ROUTER = APIRouter(include_in_schema=False)

NAMES = ("print", "strip", "by", "tick", "at", "stuck_on", "entry", "record")
AS_SAID, BY_HITS = "", "hits"  # how it was aligned; else by a group that is called so
GROUP = "group "
OFFERED_GROUPS = 8
LEVEL_RAD = 0.01


@dataclass(frozen=True, slots=True)
class Offered:
    """A print that may be stuck on."""

    record: TapeRecord
    text: str  # the same, as it is kept

    @property
    def strips(self) -> tuple[tuple[str, str], ...]:
        """Place and name of each strip."""
        return tuple((str(place), name) for place, name in enumerate(self.record.names, 1))

    @property
    def likeliest(self) -> int:
        """Place of the strip in the middle."""
        return len(self.record.names) // 2 + 1

    @property
    def lies_anywhere(self) -> bool:
        """Whether the sheet cannot say where it goes: it was printed before the first arrow."""
        return lies_anywhere(self.record)

    @property
    def tick_m(self) -> float:
        """Distance of the tick by which the sheet says to align it. [m]"""
        said_m = self.record.stuck.tick_m
        return self.record.strips[0][0].distances_m[0] if said_m is None else said_m

    @property
    def tick(self) -> str:
        """That tick, as the tape has it."""
        return plain(in_unit(self.tick_m, self.record.unit), 1)


class Sight:
    """A rig's sight, read once for a request."""

    def __init__(self, at: PageRequest, rig_id: str) -> None:
        self.at, self.rig_id, self.entry = at, rig_id, at.rig(rig_id)
        self.kept: Kept = at.kept(rig_id)
        self.tapes = kept_tapes.tapes_of(at.notebook, rig_id)
        self.prints = prints_of(at.notebook, rig_id)

    @property
    def on(self) -> OnSight | None:
        """The tape that is on it now."""
        return kept_tapes.tape_on(self.tapes, self.kept.rig.sight.tape)

    @property
    def before(self) -> list[OnSight]:
        """Tapes that were on before, the last first."""
        return [one for one in reversed(self.tapes) if one != self.on]

    @property
    def groups(self) -> dict[str, Observation]:
        """Groups by which a strip may have been aligned, the last first: of pin 1, on the level."""
        level = (
            one
            for one in reversed(self.kept.observations)
            if one.pin == 1 and abs(one.slope_rad) < LEVEL_RAD
        )
        return {GROUP + one.group.name: one for one in islice(level, OFFERED_GROUPS)}

    @property
    def ways(self) -> list[tuple[str, str]]:
        """How a strip may have been aligned."""
        shown = {one.tape.scales: one.tape for one in self.tapes}
        return [
            (AS_SAID, "as the sheet says, or as below"),
            *(
                (key, f"where {one.group.name} hit: {aimed_words(one, self.at.units, shown)}")
                for key, one in self.groups.items()
            ),
            (BY_HITS, "where arrows hit that are not written down"),
        ]

    def offered(self, form: Form) -> Offered | None:
        """The print chosen, or the file sent; None with the fault in the form, or without one."""
        try:
            if form["record"]:
                return Offered(read_record(form["record"], "record"), form["record"])
            chosen = next((one for one in self.prints if one.id == form["print"]), None) or next(
                iter(self.prints), None
            )
            if chosen is None:
                return None
            form.texts["print"] = chosen.id
            text = record_of(self.at.notebook, self.entry, chosen)
            return Offered(read_record(text, "record"), text)
        except TapewrightError as refused:
            form.refuse("print", refused)
            return None

    def laid(self, form: Form, offered: Offered) -> Laying:
        """How a strip was laid, as the form says."""
        strip = form.said.whole("strip", offered.likeliest, (1, len(offered.record.names)))
        by = form["by"]
        if by == BY_HITS:
            return Laying(strip, by=())
        if by:
            hit = self.groups.get(by)
            if hit is None:
                raise BadInput("by", "that group is not there any more", "Choose another")
            return Laying(strip, hit.distance_m, hit.reading_m, hit.scales)
        tick_m = at_m = None
        if form["tick"] or form["at"]:
            text = with_unit(form["tick"] or offered.tick, offered.record.unit)
            tick_m = form.read("tick", lambda: read_distances(text, "tick").distances_m[0], None)
        if form["at"]:
            tape = self.kept.rig.sight.tape
            at_m = form.read("at", lambda: read_reading(form["at"], tape, 1, "at"), None)
        return Laying(strip, tick_m, at_m)

    def said_of(self, offered: Offered | None) -> str:
        """What the pointer showed when the strip was aligned as the sheet says, if that says it."""
        if offered is None or offered.lies_anywhere:
            return ""
        at_m, on = offered.record.tape().reading_of(offered.tick_m), self.on
        return f"{1e3 * at_m:.1f} mm" if on is None else shown_words(on.tape, at_m)

    def page(self, form: Form, offered: Offered | None) -> Response:
        """The page with a form, or with its faults."""
        form.texts["strip"] = form["strip"] or (str(offered.likeliest) if offered else "")
        return self.at.page(
            "on_sight.html",
            rig=self.entry,
            on=self.on,
            unread=kept_tapes.unread_tapes(self.at.notebook, self.rig_id),
            before=self.before,
            offered=offered,
            prints=[
                (one.id, f"printed {kept_as(one, KeptPrint).printed_on}") for one in self.prints
            ],
            ways=self.ways,
            was=self.said_of(offered),
            form=form,
            entry=form["entry"] or new_id(),
        )


@ROUTER.get("/rigs/{rig_id}/on-sight")
def on_sight_page(at: At, rig_id: str) -> Response:
    """What is on the sight, and whether a printed tape is on it now."""
    form = Form({name: at.request.query_params.get(name, "") for name in NAMES})
    sight = Sight(at, rig_id)
    return sight.page(form, sight.offered(form))


@ROUTER.post("/rigs/{rig_id}/on-sight")
def stick(at: At, rig_id: str, fields: Fields, files: Files) -> Response:
    """Keep that a strip was stuck on; from then on readings are what it shows."""
    sight = Sight(at, rig_id)
    form = Form({name: fields.get(name, "").strip() for name in NAMES})
    name, raw = files.get("file", ("", b""))
    if raw:
        form.texts["record"] = form.read("record", lambda: decode_text(raw, name, BadInput), "")
    offered = sight.offered(form)
    if raw and offered is not None and offered.lies_anywhere and not (form["by"] or form["at"]):
        return sight.page(form, offered)  # only who laid it can tell where: ask
    body = None
    if offered is not None:
        body = form.read("", lambda: _body(sight, form, offered), None)
    if body is None or not form.is_good:
        return sight.page(form, offered)
    entry_id = form["entry"] or new_id()
    try:
        at.notebook.add(body, rig_id=rig_id, now=at.now, entry_id=entry_id)
    except EditedMeanwhile:  # the same form, sent twice
        return at.go(f"/rigs/{rig_id}/on-sight")
    return at.changed(rig_id, "/on-sight")


@ROUTER.post("/rigs/{rig_id}/on-sight/{tape_id}/off")
def take_off(at: At, rig_id: str, tape_id: str) -> Response:
    """Keep that a tape came off: readings are those of the sight again."""
    kept_as(kept_of_rig(at, rig_id, tape_id), KeptTape)
    on = Sight(at, rig_id).on
    if on is None or on.entry.id != tape_id:
        return at.go(f"/rigs/{rig_id}/on-sight")
    at.notebook.save_all([kept_tapes.taken_off(on, at.today)], now=at.now)
    return at.changed(rig_id, "/on-sight")


def _body(sight: Sight, form: Form, offered: Offered) -> KeptTape:
    """What is to be kept of a strip that was stuck on."""
    at, laid = sight.at, sight.laid(form, offered)
    setup = setup_now(at.notebook, sight.rig_id)
    day = at.past_day(form["stuck_on"].strip() or at.today, "stuck_on")
    return kept_tapes.stick_on(
        at.notebook, sight.rig_id, sight.kept.rig, offered.text, laid, setup, day
    )
