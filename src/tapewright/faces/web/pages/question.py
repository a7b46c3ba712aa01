"""Question: a page for every question that can be put to a rig's calibration.

Holds:  /rigs/{rig_id}/ask/{name} for all questions; a question asked as an address says it.
Never:  what a question asks, computes or says (questions).
"""

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any
from urllib.parse import urlencode

from fastapi import APIRouter
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from tapewright.faces.rig_progress import subject_of
from tapewright.faces.web.forms import Form
from tapewright.faces.web.page_request import At, PageRequest
from tapewright.ground.errors import TapewrightError
from tapewright.questions.all_questions import all_questions
from tapewright.questions.next import Standing
from tapewright.questions.question import Field, Question, Said, heard
from tapewright.services.calibrate import Answer
from tapewright.words.unit_system import Units

ROUTER = APIRouter(include_in_schema=False)

MOST_REMEMBERED = 64


@dataclass(frozen=True, slots=True)
class Asked:
    """A question as it was put, and what was found."""

    question: Question[Any]  # the question
    form: Form  # what was said with it, and the faults
    fields: tuple[Field, ...]  # what may be said with it of this rig
    answer: Answer | None  # the calibration; None: there is none yet
    found: Any  # what the question found; None: nothing
    not_yet: str = ""  # why there is nothing, though nobody said anything wrong


@ROUTER.get("/rigs/{rig_id}/ask/{name}")
def ask_page(at: At, rig_id: str, name: str) -> Response:
    """Ask, and show the answer under what was said."""
    if name not in all_questions():
        raise HTTPException(404)
    return page_of(at, rig_id, ask(at, rig_id, name), "ask.html")


def ask(at: PageRequest, rig_id: str, name: str) -> Asked:
    """Put a question as the address says it."""
    question = all_questions()[name]
    said = heard(question.fields, at.request.query_params)
    if name in ("plan", "next") and not said:
        said = dict(at.place)
    form = Form({one.name: "" for one in question.fields} | said)
    answer = found = None
    try:
        answer = at.answer(rig_id)
        if not question.needs or any(one.name in said for one in question.fields):
            found = find(at, answer, name, form, rig_id)
    except TapewrightError as refused:
        form.refuse("", refused)
    not_yet = ""
    if not said and not form.fault(""):  # what the arrows lack is no fault of an open field
        not_yet = " ".join(words[:1].upper() + words[1:] for words in form.faults.values())
        form.faults.clear()
    return Asked(question, form, _fields(question, answer, form), answer, found, not_yet)


def find(at: PageRequest, answer: Answer, name: str, form: Form, rig_id: str = "") -> Any:  # noqa: ANN401 — each question finds its own
    """What a question finds; remembered, for it is often looked at again."""
    question = all_questions()[name]
    said = tuple((one.name, one.completed(form[one.name], at.units)) for one in question.fields)
    subject = subject_of(at.notebook, rig_id, answer, question, at.today)
    return _found(subject, name, said, at.units)


@lru_cache(maxsize=MOST_REMEMBERED)
def _found(
    subject: Answer | Standing, name: str, said: tuple[tuple[str, str], ...], units: Units
) -> Any:  # noqa: ANN401 — the same
    return all_questions()[name].ask(subject, Said(dict(said)), units)


def page_of(at: PageRequest, rig_id: str, asked: Asked, template: str, **things: Any) -> Response:  # noqa: ANN401 — whatever the template needs
    """Page with a question and its answer."""
    found, groups = asked.found, asked.question.groups
    next_groups = () if found is None or groups is None else groups(found, at.units)
    return at.page(
        template,
        rig=at.rig(rig_id),
        question=asked.question,
        fields=asked.fields,
        form=asked.form,
        not_yet=asked.not_yet,
        blocks=() if found is None else asked.question.tell(found, at.units),
        ways=[(words, urlencode(shot)) for words, shot in next_groups],
        **things,
    )


def _fields(question: Question[Any], answer: Answer | None, form: Form) -> tuple[Field, ...]:
    """Fields of a question; the pin is only asked for where there are several, of those."""
    pins = 1 if answer is None else len(answer.trusted_m)
    choices = tuple(str(pin) for pin in range(1, pins + 1)) if pins > 1 else ()
    return tuple(
        replace(one, choices=choices) if one.name == "pin" else one
        for one in question.fields
        if one.name != "pin" or pins > 1 or form.fault("pin")
    )
