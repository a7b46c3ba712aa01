"""All questions: all questions that can be put to a calibration, in the order people meet them.

A question is a file beside this one that holds QUESTION; nothing else needs to know it.

Holds:  which files are questions; one of them by its name, loaded when it is asked for.
Never:  a question.
"""

from __future__ import annotations

from functools import cache
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:  # a list of names loads no question
    from tapewright.questions.question import Question

FRAME = ("__init__", "all_questions", "question", "shared_fields")  # what questions are made of
ORDER = ("group", "arrows", "clicks", "fit", "next", "plan", "strips", "prove", "drift",
         "broadheads", "card", "slopes", "weather", "cold", "wind", "setup", "change", "compare",
         "budget", "limits", "bolt", "peep", "level", "rules", "hold")  # fmt: skip

RARE = ("strips", "compare")  # hardly anyone asks them: folded under "more" in every face


@cache
def question_files() -> tuple[str, ...]:
    """Names of all files of questions; one that nobody has put in order comes last."""
    there = sorted(path.stem for path in Path(__file__).parent.glob("*.py"))
    files = [name for name in there if name not in FRAME]
    return tuple(sorted(files, key=lambda name: ORDER.index(name) if name in ORDER else len(ORDER)))


def question_path(file: str) -> Path:
    """Where a file of a question stands."""
    return Path(__file__).with_name(f"{file}.py")


@cache
def question_in(file: str) -> Question[Any]:
    """The question that a file holds."""
    question: Question[Any] = import_module(f"tapewright.questions.{file}").QUESTION
    return question


@cache
def all_questions() -> dict[str, Question[Any]]:
    """All questions to one calibration by the name that addresses have for them."""
    questions = map(question_in, question_files())
    return {question.name: question for question in questions if not question.is_of_two}


def shelf(name: str) -> tuple[Question[Any], ...]:
    """Questions to which a rig's page links under one heading."""
    every = all_questions().values()
    return tuple(one for one in every if one.shelf == name and one.name not in RARE)
