"""Rig progress: what was done with a rig beside shooting, as far as the notebook knows.

Holds:  the print that waits to be stuck on, the proof of what is on the sight, the card taken
        along; a kept rig as questions are asked of it.
Never:  which step is next (services/what_now.py), words, pages.
"""

from datetime import date
from typing import Any

from tapewright.faces.kept_prints import waiting_print
from tapewright.faces.kept_rigs import dated, kept_ways, setup_now
from tapewright.faces.kept_setup import rebuilt_of
from tapewright.faces.kept_tapes import tape_on, tapes_of
from tapewright.questions.next import Standing
from tapewright.questions.question import Question
from tapewright.services import keep
from tapewright.services.calibrate_kept import Answer
from tapewright.services.keep import Entry, Notebook, kept_as
from tapewright.services.reassemble import Rebuilt
from tapewright.services.record_groups import of_point
from tapewright.services.watch_drift import Season, SetupChange, Shot
from tapewright.services.what_now import Done

CARDS = ("card", "pocket")


def done_of(notebook: Notebook, rig_id: str, answer: Answer, today: str) -> Done:
    """What was done with a rig; proofs and cards count from when its tape was stuck on."""
    printed = waiting_print(notebook, rig_id)
    on = tape_on(tapes_of(notebook, rig_id), answer.tape)
    since = (on.body.stuck_on, on.entry.saved_at) if on else ("", "")
    groups = notebook.entries("group", rig_id)
    proof = _proof(notebook, rig_id, since)
    shot = tuple(
        body.observation
        for one in groups
        if proof and (body := kept_as(one, keep.KeptGroup)).session_id == proof.id
    )
    return Done(
        is_kept=True,
        printed_on=kept_as(printed, keep.KeptPrint).printed_on if printed else "",
        is_fresh=printed is not None and all(one.saved_at < printed.saved_at for one in groups),
        proof=of_point(shot, answer.rig.arrow.point)[0],
        is_proved=proof is not None and kept_as(proof, keep.KeptSession).proved,
        has_card=any(
            kept_as(one, keep.KeptPrint).what in CARDS and one.saved_at >= since[1]
            for one in notebook.entries("print", rig_id)
        ),
        quiet_days=_quiet_days(notebook, rig_id, today),
    )


def _quiet_days(notebook: Notebook, rig_id: str, today: str) -> int | None:
    """Days since the last session of a rig; None where there is none."""
    sessions = notebook.entries("session", rig_id)
    last = max((kept_as(one, keep.KeptSession).shot_on for one in sessions), default="")
    return (date.fromisoformat(today) - date.fromisoformat(last)).days if last else None


def _proof(notebook: Notebook, rig_id: str, since: tuple[str, str]) -> Entry | None:
    """The newest session with the set-up of now that proves what is on the sight, or did.

    By the day, too: an older one whose note was written anew proves nothing of a newer tape.
    """
    now, found = setup_now(notebook, rig_id), None
    for one in notebook.entries("session", rig_id):
        body = kept_as(one, keep.KeptSession)
        questions = body.purpose == "proving" or body.proved
        is_after = body.shot_on >= since[0] and one.saved_at >= since[1]
        if questions and body.setup == now and is_after:
            found = one
    return found


def season_of(notebook: Notebook, rig_id: str, answer: Answer) -> Season:
    """A rig's calibration with all else that was shot with its set-up, and the days of changes."""
    now, on = setup_now(notebook, rig_id), tape_on(tapes_of(notebook, rig_id), answer.tape)
    proving = {
        one.id: body
        for one in notebook.entries("session", rig_id)
        if (body := kept_as(one, keep.KeptSession)).purpose == "proving" and body.setup == now
    }
    groups = (kept_as(one, keep.KeptGroup) for one in notebook.entries("group", rig_id))
    changes = notebook.entries("change", rig_id)
    *before, _ = kept_ways(notebook, rig_id)
    return Season(
        answer,
        proofs=tuple(
            dated(one.observation, proving[one.session_id])
            for one in groups
            if one.session_id in proving
        ),
        since=on.body.stuck_on if on else "",
        changes=tuple(
            SetupChange(one.saved_at[:10], kept_as(one, keep.KeptChange).words or "set-up changed")
            for one in changes
        ),
        earlier=tuple(Shot(one.rig, one.observations) for one in before),
    )


def subject_of(
    notebook: Notebook, rig_id: str, answer: Answer, question: Question[Any], today: str
) -> Answer | Standing | Season | Rebuilt:
    """What a question is asked of: the calibration, with what is kept beside it if it must."""
    if question.is_of_setup:
        return rebuilt_of(notebook, rig_id, answer)
    if question.is_of_season:
        return season_of(notebook, rig_id, answer)
    if not question.is_of_kept:
        return answer
    return Standing(answer, done_of(notebook, rig_id, answer, today))
