"""Session lists: sessions and groups of a rig as a page lists them, and a group's correction.

Holds:  lines of a list; what a proof needs; which arrows count already; what is told after a group.
Never:  which session a group goes into (session_choice.py), pages, what a group's fields mean
        (group_form.py), formulas.
"""

from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from urllib.parse import urlencode

from tapewright.faces.kept_rigs import rig_of
from tapewright.faces.web.page_request import PageRequest
from tapewright.ground.errors import NotKept, TapewrightError
from tapewright.ground.units import UNITS
from tapewright.questions.group import after_group_blocks
from tapewright.questions.prove import prove_groups
from tapewright.questions.question import Said
from tapewright.services.calibrate import Answer
from tapewright.services.correct_groups import correct_group
from tapewright.services.keep import Entry, KeptGroup, KeptSession, kept_as
from tapewright.services.prove import distances_left, refuse_other_bow
from tapewright.services.record_groups import Observation, group_centre, of_point, refuse_twice
from tapewright.services.stick_tape import Scales, Tape
from tapewright.words.answer_blocks import Blocks, Mind
from tapewright.words.cautions import OTHER_POINT, caution_words
from tapewright.words.miss_causes import proof_needs_words
from tapewright.words.quantity_parser import format_quantity, in_unit, neat
from tapewright.words.readings_on_tape import shown_words
from tapewright.words.sight_moves import arrows_words, hit_words
from tapewright.words.slips import slip_words
from tapewright.words.unit_system import Units, distance_words

EARLIER = (
    "This group was shot before the rig was changed. It counts by what the change carries over; "
    "what to turn now is told by groups shot since."
)
PAST = (
    "Its arrows went past the butt, so it moves no mark and asks for no turn of the sight. The "
    "next group is planned nearer, where arrows are sure to hit."
)
PROVING = (
    "This group was shot to prove the tape: it questions the calibration and is no part of it."
)
STEP_OF_PROOF = 5  # distances that are proposed, in the person's unit


@dataclass(frozen=True, slots=True)
class SessionLines:
    """One session in a list, with its groups."""

    session: Entry
    groups: tuple[Entry, ...]  # in the order they were written down


@dataclass(frozen=True, slots=True)
class ProofNeeds:
    """How far a proving session has come."""

    session_id: str
    shot_on: str  # the day it was begun
    words: str  # what it has and what it needs
    is_enough: bool  # whether it can answer
    query: str  # fills the form of its next group in
    next_words: str  # that group


def kept_of_rig(at: PageRequest, rig_id: str, entry_id: str) -> Entry:
    """Something kept of this rig; NotKept if it is another's."""
    entry = at.notebook.entry(entry_id)
    if entry.rig_id != rig_id:
        raise NotKept(entry_id)
    return entry


def group_line(
    group: Entry, units: Units, tapes: Mapping[Scales, Tape] | None = None, pins: int = 1
) -> tuple[str, str, str]:
    """A group in a few words: its name; distance, reading and arrows; where its centre lies.

    What was read on a tape is told as it showed it; which pin, where the sight has several.
    """
    one = kept_as(group, KeptGroup).observation
    aimed, arrows = aimed_words(one, units, tapes or {}), arrows_words(one.group)
    right_m, up_m = group_centre(one.group)
    hit = "it hits here" if right_m == up_m == 0.0 else hit_words(right_m, up_m, units.miss)
    if not one.group.counted:
        hit = "nothing measured"
    pin = f", pin {one.pin}" if pins > 1 else ""
    pin += f", {one.head}" if one.head == "broadhead" else ""
    return one.group.name, f"{aimed}{pin}, {arrows}", hit


def pin_count(rig: Entry) -> int:
    """How many pins the sight of a kept rig has."""
    return 1 + len(rig_of(rig).sight.pins_below_first_m)


def aimed_words(one: Observation, units: Units, tapes: Mapping[Scales, Tape]) -> str:
    """How far away a group was shot, and what the sight showed then."""
    distance = distance_words(one.distance_m, units)
    if tape := tapes.get(one.scales):
        shown = shown_words(tape, one.reading_m, pin=one.pin, at_m=one.distance_m)
        if shown:
            return f"{distance} dialled {shown}"
    return f"{distance} at {format_quantity(one.reading_m, 'mm', 2)}"


def session_lines(at: PageRequest, rig_id: str) -> tuple[SessionLines, ...]:
    """Sessions of a rig with their groups, the last day first, of a day the last begun."""
    groups: dict[str, list[Entry]] = {}
    for one, kept in _groups(at, rig_id):
        groups.setdefault(kept.session_id, []).append(one)
    newest_first = reversed(at.notebook.entries("session", rig_id))
    sessions = sorted(newest_first, key=_day, reverse=True)
    return tuple(SessionLines(one, tuple(groups.get(one.id, ()))) for one in sessions)


def _day(session: Entry) -> str:
    return kept_as(session, KeptSession).shot_on


def _groups(at: PageRequest, rig_id: str) -> Iterator[tuple[Entry, KeptGroup]]:
    for one in at.notebook.entries("group", rig_id):
        yield one, kept_as(one, KeptGroup)


def names_taken(at: PageRequest, rig_id: str, but: str = "") -> set[str]:
    """Names of a rig's groups, one left out."""
    return {kept.observation.group.name for one, kept in _groups(at, rig_id) if one.id != but}


def groups_of(at: PageRequest, rig_id: str, session_id: str) -> tuple[Observation, ...]:
    """What the groups of a session tell."""
    all_groups = _groups(at, rig_id)
    return tuple(kept.observation for _, kept in all_groups if kept.session_id == session_id)


def _proving(at: PageRequest, rig_id: str, session_id: str) -> KeptSession | None:
    """A session that proves; None where it sights in, or there is none."""
    entries = at.notebook.entries("session", rig_id)
    bodies = (kept_as(one, KeptSession) for one in entries if one.id == session_id)
    return next((one for one in bodies if one.purpose == "proving"), None)


def is_proving(at: PageRequest, rig_id: str, session_id: str) -> bool:
    """Whether groups of a session question the calibration and are no part of it."""
    return _proving(at, rig_id, session_id) is not None


def proof_needs(
    at: PageRequest, rig_id: str, session_id: str, telling_m: float | None = None
) -> ProofNeeds | None:
    """What a proving session still needs; None where a session sights in, or there is none.

    Once it has enough, another group is best shot where the causes left open part: ``telling_m``.
    """
    session = _proving(at, rig_id, session_id)
    if session is None:
        return None
    shot = groups_of(at, rig_id, session_id)
    answer: Answer | None = None
    with suppress(TapewrightError):
        answer = at.answer(rig_id)
        shot, _ = of_point(shot, answer.rig.arrow.point)  # those of the other point prove nothing
    step_m = STEP_OF_PROOF * UNITS[at.units.distance].factor
    needed, wanted_m = distances_left(answer, shot, step_m)
    words = proof_needs_words(shot, needed, wanted_m, at.units)
    if not needed and telling_m is not None:
        wanted_m = (telling_m,)
    tape = None if answer is None else answer.tape
    fields: dict[str, str] = {}
    next_words = "Add a group"
    if wanted_m:
        fields["distance"] = neat(wanted_m[0], (at.units.distance,))
        next_words = f"{'Next:' if needed else 'One more at'} {fields['distance']}"
    if wanted_m and tape:  # its own number is dialled
        fields["reading"] = f"{round(in_unit(wanted_m[0], tape.unit), 1):g}"
    return ProofNeeds(
        session_id,
        session.shot_on,
        words,
        is_enough=not needed,
        query=urlencode(fields | {"session": session_id}),
        next_words=next_words,
    )


def refuse_known(
    at: PageRequest,
    rig_id: str,
    groups: Sequence[Observation],
    but: str = "",
    *,
    proving: bool = True,
) -> None:
    """Refuse arrows that a rig has already, in groups whose ids do not begin so.

    With ``proving`` off only those count that calibrate.
    """
    purposes = ("sighting", "proving") if proving else ("sighting",)
    sessions = at.notebook.entries("session", rig_id)
    counting = {one.id for one in sessions if kept_as(one, KeptSession).purpose in purposes}
    before = [
        kept.observation
        for one, kept in _groups(at, rig_id)
        if kept.session_id in counting and not (but and one.id.startswith(but))
    ]
    refuse_twice(groups, before)


def may_count(at: PageRequest, rig_id: str, session_id: str) -> bool:
    """Let the arrows of a proof calibrate: whether they proved a tape.

    Refused where they count already, or where the equipment and not the tape may have been at
    fault. Arrows past the butt prove nothing and always count.
    """
    shot = groups_of(at, rig_id, session_id)
    refuse_known(at, rig_id, shot, proving=False)
    answer = at.answer(rig_id) if shot else None
    if answer is None or not answer.observations:
        return False
    if all(one.group.missed < max(one.group.arrows, 1) for one in shot):
        refuse_other_bow(prove_groups(answer, shot, Said({}), at.units))
    return True


def refuse_back(at: PageRequest, rig_id: str, entry: Entry) -> None:
    """Refuse to take a group or session back whose arrows were kept anew meanwhile."""
    if entry.is_withdrawn and isinstance(entry.body, KeptGroup):
        refuse_known(at, rig_id, (entry.body.observation,), entry.id)
    if entry.is_withdrawn and isinstance(entry.body, KeptSession):
        refuse_known(at, rig_id, groups_of(at, rig_id, entry.id))


def told_so_far(at: PageRequest, rig_id: str, one: Observation, session_id: str) -> Blocks:
    """What to turn after a group that is not kept yet; nothing where nothing is known of it."""
    if not one.group.counted or is_proving(at, rig_id, session_id):
        return ()
    try:
        answer = at.answer(rig_id)
    except TapewrightError:
        return ()
    if answer.stops:
        return ()
    if not of_point((one,), answer.rig.arrow.point)[0]:
        return (OTHER_POINT,)
    fitted = answer.posterior.calibration
    found = correct_group(one, (*fitted.evidence.observations, one), answer.rig, fitted)
    return after_group_blocks(replace(found, tape=answer.tape), at.units)


def told_after(at: PageRequest, group: Entry, answer: Answer) -> Blocks:
    """What to turn after a group, and whether it fits the others."""
    kept = kept_as(group, KeptGroup)
    one, session = kept.observation, at.notebook.entry(kept.session_id)
    if kept_as(session, KeptSession).purpose == "proving":
        return (PROVING,)
    if not of_point((one,), answer.rig.arrow.point)[0]:
        return (OTHER_POINT,)
    if not any(
        replace(other, proved=one.proved, date=one.date) == one for other in answer.observations
    ):
        return (EARLIER,)
    slip = (Mind(slip_words(answer, at.units, in_short=True)),) if answer.slips else ()
    if slip and one.group.name not in answer.slips[0].mistake.names:
        return slip  # what to turn hangs on the other group
    oddities = (
        Mind(caution_words(caution, answer, at.units))
        for caution in answer.cautions
        if caution.kind == "odd group" and caution.subject == one.group.name
    )
    if not one.group.counted:
        return (PAST,)
    fitted = answer.posterior.calibration
    found = correct_group(one, fitted.evidence.observations, answer.rig, fitted)
    is_written_so = ("If it was written right:",) if slip else ()
    found = replace(found, tape=answer.tape)
    return (*slip, *oddities, *is_written_so, *after_group_blocks(found, at.units))
