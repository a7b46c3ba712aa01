"""Resources: every kind of kept thing for other programs, in one table.

As long as there are kinds and things that become of them.

Holds:  /api/rigs, /api/printers and what is kept of a rig: list, create, read, save, withdraw,
        restore; what becomes of a thing that was sent.
Never:  rigs in pages, archives (notebook.py), what groups tell (ask_and_print.py).
"""

from base64 import b64decode
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

from fastapi import APIRouter

from tapewright.faces import kept_tapes
from tapewright.faces.impossible_groups import refuse_impossible
from tapewright.faces.kept_house import house_in
from tapewright.faces.kept_rigs import next_setup, rig_of, setup_now
from tapewright.faces.kept_setup import picture_body
from tapewright.faces.settings import new_id
from tapewright.faces.web import session_lists
from tapewright.faces.web.api import schemas
from tapewright.faces.web.api.endpoints import ASIDE, REFUSED, offer
from tapewright.faces.web.api.resource_json import all_shaped, observation_of, shaped
from tapewright.faces.web.page_request import PageRequest
from tapewright.ground.errors import BadInput
from tapewright.reading.csv_columns import PLAINLY_SAID
from tapewright.reading.house_values import read_house
from tapewright.reading.rig_sheet import read_rig_sheet
from tapewright.reading.set_up_record import read_set_up
from tapewright.services import keep
from tapewright.services.keep import Entry, Write, kept_as
from tapewright.services.keep_picture import picture_to_keep
from tapewright.services.stick_tape import Laying
from tapewright.services.stops import refuse_stopped
from tapewright.words.unit_spellings import quoted

ROUTER = APIRouter(prefix="/api", responses=REFUSED)
MARKS = ("withdraw", "restore")
TO_MEASURE = ("gauge", "target")  # sheets that carry a stop and may be printed under it

# Keys that programs of 0.1 do not send → what they fill: a group saved again keeps them.
LATER_SENT = (
    {"windage_mm": "windage_m"} | {word: word for word in PLAINLY_SAID} | {"scale": "scales"}
)


@dataclass(frozen=True, slots=True)
class Sent:
    """What was sent, and where it belongs."""

    body: Any  # one of schemas.py
    entry_id: str
    rig_id: str = ""
    session_id: str = ""
    before: Any = None  # what was kept until now; None: nothing


Make = Callable[[PageRequest, Sent], Any]


def _rig(_at: PageRequest, sent: Sent) -> keep.KeptRig:
    rig, _ = read_rig_sheet(sent.body.sheet)
    return keep.KeptRig(sent.body.sheet, rig.name)


def _session(at: PageRequest, sent: Sent) -> keep.KeptSession:
    said, setup, proved = sent.body, sent.body.setup, False
    if sent.before is None:
        at.rig(sent.rig_id)
        setup = setup_now(at.notebook, sent.rig_id) if setup is None else setup
    elif (sent.before.purpose, said.purpose) == ("proving", "sighting"):
        proved = session_lists.may_count(at, sent.rig_id, sent.entry_id)
    elif said.purpose == "sighting":
        proved = sent.before.proved
    setup = sent.before.setup if setup is None else setup
    day = at.past_day(said.shot_on, "shot_on")
    return keep.KeptSession(day, said.purpose, said.note, setup, proved)


def _group(at: PageRequest, sent: Sent) -> keep.KeptGroup:
    """Group ready to be kept; air and windage stay as they were but for what was sent of them."""
    session_id = sent.before.session_id if sent.before else sent.session_id
    if not sent.before:
        kept_as(session_lists.kept_of_rig(at, sent.rig_id, session_id), keep.KeptSession)
    rig = at.kept(sent.rig_id).rig
    observation = observation_of(sent.body, rig)
    if observation.group.name in session_lists.names_taken(at, sent.rig_id, sent.entry_id):
        wrong = f"another group of this rig is called {quoted(observation.group.name)}"
        raise BadInput("name", wrong, "Take another name")
    air, now = sent.before.observation.air if sent.before else None, observation.air
    if air and now and sent.body.pressure_hpa is None and sent.body.altitude_m is None:
        observation = replace(observation, air=replace(air, temperature_k=now.temperature_k))
    if sent.before:
        unsent = LATER_SENT.keys() - sent.body.model_fields_set
        if observation.scales:
            unsent -= {"scale"}  # what was dialled tells it
        kept = {"proved", *(LATER_SENT[key] for key in unsent)}
        before = sent.before.observation
        observation = replace(observation, **{name: getattr(before, name) for name in kept})
        observation = _still_numbered(observation, before, sent.body)
    refuse_impossible(observation, rig)
    session_lists.refuse_known(at, sent.rig_id, (observation,), sent.entry_id)
    return keep.KeptGroup(session_id, observation, sent.body.note)


def _still_numbered(now: Any, before: Any, body: Any) -> Any:  # noqa: ANN401 — observations, and what was sent
    """A group saved again by a program that knows no numbered arrows: they keep their numbers."""
    impacts, had = now.group.impacts, before.group.impacts
    if len(impacts) != len(had) or any("arrow" in one.model_fields_set for one in body.impacts):
        return now
    numbered = tuple(replace(one, arrow=old.arrow) for one, old in zip(impacts, had, strict=True))
    return replace(now, group=replace(now.group, impacts=numbered))


def _change(at: PageRequest, sent: Sent) -> keep.KeptChange:
    at.rig(sent.rig_id)
    said, setup = sent.body, next_setup(at.notebook, sent.rig_id)
    back = said.back_to
    return keep.KeptChange(setup, said.seen, said.seen + 1, said.new_string, said.words, back)


def _print(at: PageRequest, sent: Sent) -> keep.KeptPrint:
    rig = at.rig(sent.rig_id)
    if sent.body.what not in TO_MEASURE:
        refuse_stopped(rig_of(rig))
    return keep.KeptPrint(**sent.body.model_dump())


def _tape(at: PageRequest, sent: Sent) -> keep.KeptTape:
    rig, said = at.kept(sent.rig_id).rig, sent.body
    laid, setup = Laying(said.strip), setup_now(at.notebook, sent.rig_id)
    day = at.past_day(said.stuck_on, "stuck_on")
    return kept_tapes.stick_on(at.notebook, sent.rig_id, rig, said.record_text, laid, setup, day)


def _set_up(at: PageRequest, sent: Sent) -> keep.KeptSetup:
    at.rig(sent.rig_id)
    body = keep.KeptSetup(**sent.body.model_dump(exclude={"seen"}))
    if body.sheet:
        read_set_up(body.sheet, "sheet")
    elif sent.before is not None:
        raise BadInput("picture", "a photograph has one version", "Keep another as a new one")
    else:  # a camera writes into it where and when it was taken
        body = picture_body(picture_to_keep(b64decode(body.picture), "picture"), body.measured_on)
    return body


def _printer(_at: PageRequest, sent: Sent) -> keep.KeptPrinter:
    return keep.KeptPrinter(**sent.body.model_dump(exclude={"seen"}))


def _house(at: PageRequest, sent: Sent) -> keep.KeptHouse:
    house = read_house(sent.body.sheet, "sheet")
    if sent.before is None:
        _refuse_second_house(at)
    return keep.KeptHouse(sent.body.sheet, house.name)


def _refuse_second_house(at: PageRequest) -> None:
    """One set of house values stands for all rigs."""
    if (there := house_in(at.notebook)) is not None:
        wrong = "other house values stand in this notebook"
        raise BadInput("sheet", wrong, f"Save on top of {there.id}, or put those aside first")


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of kept thing: what may be done with it, and what becomes of one that is sent."""

    name: Any  # as the notebook calls it
    tag: str
    path: str  # of all of them
    shape: type[schemas.Kept]
    told: dict[str, str]  # from what may be done to what is told of it; empty: the usual
    aside: str = ""  # what is put aside and taken back, in words; empty: it stays
    make: Make | None = None  # what was sent, ready to be kept
    new: Any = None  # body of a new one
    saved: Any = None  # and of one on top of the version seen
    into: str = ""  # where a new one is sent, if not to all of them
    calibrates: tuple[str, ...] = ()  # after what marks are worked out anew


USUAL = {"create": "", "read": "", "save": ""}
KINDS = (
    Kind(
        "rig", "rigs", "/rigs", schemas.RigKept,
        USUAL
        | {
            "save": "Save a rig sheet as a new version; a changed bow or arrow is a change, "
            "not a correction."
        },
        "a rig", _rig, schemas.RigBody, schemas.RigSaved, calibrates=("create", "save"),
    ),
    Kind(
        "session", "shooting", "/rigs/{rig_id}/sessions", schemas.SessionKept,
        {"list": "Sessions of a rig, in the order they were kept."} | USUAL,
        "a session; its groups count no more", _session, schemas.SessionBody, schemas.SessionSaved,
        calibrates=("save", "withdraw", "restore"),
    ),
    Kind(
        "group", "shooting", "/rigs/{rig_id}/groups", schemas.GroupKept,
        {
            "list": "Groups of a rig, in the order they were kept.",
            "create": "Keep a new group of a session and calibrate anew.",
            "read": "",
            "save": "Save a group as a new version and calibrate anew.",
        },
        "a group; it counts no more", _group, schemas.GroupBody, schemas.GroupSaved,
        into="/rigs/{rig_id}/sessions/{session_id}/groups",
        calibrates=("create", "save", "withdraw", "restore"),
    ),
    Kind(
        "calibration", "asking", "/rigs/{rig_id}/calibrations", schemas.CalibrationKept,
        {"list": "All calibrations of a rig that were kept: how trust grew."},
    ),
    Kind(
        "change", "keeping", "/rigs/{rig_id}/changes", schemas.ChangeKept,
        {
            "list": "Changes of a rig, the first first.",
            "create": "Save a changed rig sheet; what was learnt before is carried over as far "
            "as it holds.",
        },
        "a change; its sessions join those before it", _change, schemas.ChangeBody,
        calibrates=("create", "withdraw", "restore"),
    ),
    Kind(
        "print", "keeping", "/rigs/{rig_id}/prints", schemas.PrintKept,
        {
            "list": "What was printed for a rig.",
            "create": "Remember that a sheet was printed; of a set-up that must not be shot only "
            "to measure with.",
        },
        make=_print, new=schemas.PrintBody,
    ),
    Kind(
        "tape", "keeping", "/rigs/{rig_id}/tapes", schemas.TapeKept,
        {
            "list": "Tapes that were stuck on, the first first: the last is on the sight.",
            "create": "Remember that a tape was stuck on; answers then tell what it shows.",
            "read": "",
        },
        "a tape; readings are told by what was on before", _tape, schemas.TapeBody,
        calibrates=("create", "withdraw", "restore"),
    ),
    Kind(
        "setup", "keeping", "/rigs/{rig_id}/setups", schemas.SetupKept,
        {
            "list": "Set-up records of a bow, what was measured again, photographs.",
            "create": "Keep a set-up record, what was measured again, or a photograph.",
            "read": "",
            "save": "Save a set-up record as a new version.",
        },
        "a set-up record", _set_up, schemas.SetupBody, schemas.SetupSaved,
    ),
    Kind(
        "parked", "shooting", "/rigs/{rig_id}/parked", schemas.ParkedKept,
        {"list": "Groups that a phone handed over and a person must settle."},
        "a parked group, which settles it",
    ),
    Kind(
        "printer", "keeping", "/printers", schemas.PrinterKept,
        {"list": "Printers and what their proof rulers measured."} | USUAL,
        "a printer", _printer, schemas.PrinterBody, schemas.PrinterSaved,
    ),
    Kind(
        "house", "keeping", "/houses", schemas.HouseKept,
        {"list": "The house values that stand: one for all rigs, or none."}
        | {"create": "Keep house values where none stand, and calibrate every rig anew.",
           "read": "", "save": "Save house values as a new version and calibrate every rig anew."},
        "house values", _house, schemas.HouseBody, schemas.HouseSaved,
        calibrates=("create", "save", "withdraw", "restore"),
    ),
)  # fmt: skip


def _list(kind: Kind, at: PageRequest, rig_id: str = "", *, withdrawn: bool = False) -> Any:  # noqa: ANN401 — shapes of the kind
    rig = at.rig(rig_id) if rig_id else None
    entries = at.notebook.entries(kind.name, rig_id or None, withdrawn=withdrawn)
    return all_shaped(kind.shape, entries, rig)


def _create(kind: Kind, at: PageRequest, sent: Any, **ids: str) -> Entry:  # noqa: ANN401 — the body sent
    asked = Sent(sent, new_id(), **ids)
    writes = [Write(asked.entry_id, _made(kind, at, asked), rig_id=asked.rig_id or None)]
    if kind.name == "change":  # its sheet with it, or neither
        writes.insert(0, Write(asked.rig_id, _rig(at, asked), seen=sent.seen))
    return at.notebook.save_all(writes, now=at.now)[-1]


def _read(_kind: Kind, at: PageRequest, rig_id: str = "", entry_id: str = "") -> Entry:
    if not entry_id:
        return at.rig(rig_id)
    return (
        session_lists.kept_of_rig(at, rig_id, entry_id) if rig_id else at.notebook.entry(entry_id)
    )


def _save(kind: Kind, at: PageRequest, sent: Any, **ids: str) -> Entry:  # noqa: ANN401 — the body sent
    entry = _read(kind, at, **ids)
    before: Any = kept_as(entry, kind.shape.record)
    body = _made(kind, at, Sent(sent, entry.id, ids.get("rig_id", ""), before=before))
    return at.notebook.save(entry.id, body, seen=sent.seen, now=at.now)


def _mark(kind: Kind, at: PageRequest, sent: Any, **ids: str) -> Entry:  # noqa: ANN401 — the body sent
    """Put aside, or take back what does not count twice then."""
    entry = _read(kind, at, **ids)
    kept_as(entry, kind.shape.record)
    if at.way == "restore" and kind.name == "house":
        _refuse_second_house(at)
    elif at.way == "restore":
        session_lists.refuse_back(at, str(entry.rig_id), entry)
    at.mark(entry.id, sent.seen)
    return at.notebook.entry(entry.id)


def _made(kind: Kind, at: PageRequest, sent: Sent) -> Any:  # noqa: ANN401 — one of the notebook's records
    assert kind.make is not None, "what cannot be sent is never made"
    return kind.make(at, sent)


# What may be done: how, where behind the address of all, and what is told unless a kind tells it.
DOES: dict[str, tuple[Callable[..., Entry], str, str, str]] = {
    "create": (_create, "POST", "", "Keep a new {name}."),
    "read": (_read, "GET", "/{entry_id}", "One {name}."),
    "save": (_save, "PUT", "/{entry_id}", "Save a {name} as a new version."),
    "withdraw": (_mark, "POST", "/{entry_id}/withdraw", "Put aside {aside}."),
    "restore": (_mark, "POST", "/{entry_id}/restore", "Take back {aside}."),
}


def _done(kind: Kind, way: str, at: PageRequest, **given: Any) -> schemas.Kept:  # noqa: ANN401 — parameters, handed on by name
    """One thing done with a kind; marks follow what still counts."""
    entry: Entry = DOES[way][0](kind, at, **given)
    if way in kind.calibrates and kind.name == "house":
        at.recalibrate_all()
    elif way in kind.calibrates:
        at.recalibrate(entry.rig_id or entry.id)
    return shaped(kind.shape, entry)


def _offer_kind(kind: Kind) -> None:
    """The addresses of a kind."""
    sent = {"create": kind.new, "save": kind.saved} | dict.fromkeys(MARKS, schemas.SeenBody)
    for way, words in (kind.told | dict.fromkeys(MARKS if kind.aside else (), "")).items():
        if way == "list":
            asked = {"withdrawn": ASIDE} if kind.aside else {}
            call, name, answer = partial(_list, kind), f"list_{kind.name}s", list[kind.shape]  # type: ignore[name-defined]
            offer(ROUTER, kind.path, call, name, words, answer, asked, tags=[kind.tag])
            continue
        _, method, end, usual = DOES[way]
        path = kind.into if way == "create" and kind.into else kind.path + end
        offer(
            ROUTER,
            path.replace("entry_id", "rig_id") if kind.name == "rig" else path,
            partial(_done, kind, way),
            f"{way}_{kind.name}",
            words or usual.format(name=kind.name, aside=kind.aside),
            kind.shape,
            {"sent": sent[way]} if way in sent else {},
            methods=[method],
            status_code=201 if way == "create" else None,
            tags=[kind.tag],
        )


for _kind in KINDS:
    _offer_kind(_kind)
