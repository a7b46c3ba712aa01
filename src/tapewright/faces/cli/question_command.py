"""Question command: a question's record becomes a command with its options and help.

Holds:  the options of a question; what each is asked of; the command that asks and shows it.
Never:  what a question asks or says (questions), commands that print or keep, too (their own).
"""

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import Any

import click

from tapewright.faces.cli.command_list import STEP
from tapewright.faces.cli.input_files import (
    MOST_BYTES,
    answer_for,
    asked_distances,
    load_groups,
    load_rig,
    load_rig_and_shots,
    units_of,
    warn,
)
from tapewright.faces.cli.shared_options import (
    BAND,
    FORCE,
    HOUSE,
    JSON,
    METRIC,
    MORE,
    RIG,
    SHOTS,
    TAPE,
    WISHES,
    Rare,
    file_argument,
    with_options,
)
from tapewright.faces.cli.standard_streams import FILE, OUT, write_files
from tapewright.faces.cli.terminal_output import answer, say_json
from tapewright.ground.errors import BadInput, BadShots, Withheld
from tapewright.questions.all_questions import question_in
from tapewright.questions.clicks import QUESTION as CLICKS
from tapewright.questions.clicks import find_clicks
from tapewright.questions.compare import QUESTION as COMPARE
from tapewright.questions.group import QUESTION as GROUP
from tapewright.questions.group import find_groups
from tapewright.questions.next import QUESTION as NEXT
from tapewright.questions.question import Field, Question, Said, option
from tapewright.reading.text_file import file_name, load_text
from tapewright.services.move_sight import fitted_sight
from tapewright.words.unit_system import Units

AnyQuestion = Question[Any]
Typed = Mapping[str, Any]
Option = Callable[[Any], Any]
GROUP_MEND = "Write: tapewright group RIG.toml SHOTS.csv"


class _Renamed(click.Option):
    """An option whose earlier name is still heard, and not told of."""

    def get_help_record(self, ctx: click.Context) -> tuple[str, str] | None:
        heard, self.opts = self.opts, self.opts[:1]
        try:
            return super().get_help_record(ctx)
        finally:
            self.opts = heard


class _RareRenamed(Rare, _Renamed):
    """The same of an option that hardly anyone uses."""


def options_of(fields: tuple[Field, ...], first: int = 0) -> Option:
    """A command's options for what may be said with a question; those past the first are rare."""
    open_to = first or len(fields)
    return with_options(*(_option(one, at >= open_to) for at, one in enumerate(fields)))


def _option(field: Field, is_rare: bool) -> Option:
    plain = Rare if is_rare else click.Option
    if field.flags:
        return _flags(field, plain, *field.flags)
    kind: Any = FILE if field.is_file else click.Choice(field.choices) if field.choices else str
    takes = None if field.choices else "FILE" if field.is_file else field.takes
    if field.is_switch:
        return click.option(field.option, field.name, cls=plain, flag_value="yes", help=field.about)
    names = [field.option, *([option(field.before)] if field.before else []), field.name]
    return click.option(
        *names,
        cls=_RareRenamed if is_rare else _Renamed,
        default=None,
        type=kind,
        metavar=takes,
        help=field.about,
    )


def _flags(field: Field, kind: type[click.Option], first: str, second: str) -> Option:
    """A field of two choices as two flags."""

    def chosen(_context: click.Context, _option: click.Parameter, is_first: Any) -> str | None:  # noqa: ANN401 — a flag, or none
        return None if is_first is None else field.choices[0 if is_first else 1]

    both = f"--{first}/--{second}"
    return click.option(both, field.name, cls=kind, default=None, callback=chosen, help=field.about)


def said_by(fields: tuple[Field, ...], typed: Typed) -> Said:
    """What options say, files read; an option with nothing behind it is refused."""
    texts: dict[str, str | None] = {}
    places = {field.name: field.option for field in fields}
    for field in fields:
        value = typed.get(field.name)
        if isinstance(value, Path):
            texts[field.name] = load_text(value, MOST_BYTES, BadShots) or " \n"
            places[field.name] = file_name(value)  # an empty one is told there
        elif value is not None and not value.strip():
            wrong, mend = "nothing stands behind it", "Write it out, or leave the option out"
            raise BadInput(field.option, wrong, mend)
        else:
            texts[field.name] = value
    return Said(texts, lambda name: places.get(name, option(name)))


def ask(question: AnyQuestion, said: Said, typed: Typed) -> tuple[Any, Units]:
    """Calibrate and ask; where it is withheld, the command ends with the reason."""
    where = next((one for one in question.fields if one.name == question.where), None)
    files = (typed["rig_file"], typed["shots_file"])
    calibration, units = answer_for(files, said, where, typed)
    try:
        return question.ask(calibration, said, units), units
    except Withheld as refused:
        if question.withheld is None or not typed["as_json"]:
            raise
        say_json(question.withheld(calibration, refused, units))
        click.get_current_context().exit(2)


def _drawn(question: AnyQuestion, said: Said, typed: Typed) -> tuple[Any, ...]:
    """What was found, its picture written if one was asked for."""
    found, units = ask(question, said, typed)
    if question.draw is None or typed["svg_file"] is None:
        return found, units
    picture = question.draw(found, units).encode()
    return found, units, write_files(typed["svg_file"], ((".svg", picture),), "--svg")


def asks(
    name: str,
    question: AnyQuestion,
    files: Sequence[Option],
    fields: tuple[Field, ...] | None = None,
    more: Sequence[Option] = (),
    wishes: Sequence[Option] = WISHES,
) -> Callable[[Callable[[Said, Typed], tuple[Any, ...]]], click.Command]:
    """Make the command of a question of a function that finds what is shown.

    It is told what was said and all that was typed, and returns what was found, the units, and
    which files were written, if any could be.
    """
    fields = question.fields if fields is None else fields

    def decorate(find: Callable[[Said, Typed], tuple[Any, ...]]) -> click.Command:
        @click.command(name, help=f"{question.about}\n\n{question.more}".strip())
        @with_options(*files)
        @options_of(fields, question.first)
        @with_options(*more, *wishes)
        def command(**typed: Any) -> None:  # noqa: ANN401 — options, handed on by name
            found, units, *written = find(said_by(fields, typed), typed)
            write = partial(question.write, found, units) if typed["as_json"] else None
            answer(partial(question.tell, found, units), write, *written)

        return command

    return decorate


@asks(
    "compare", COMPARE,
    (RIG, file_argument("shots_file", "SHOTS.csv"), file_argument("other_rig_file", "OTHER.toml"),
     file_argument("other_shots_file", "OTHERSHOTS.csv")),
)  # fmt: skip
def compare(said: Said, typed: Typed) -> tuple[Any, ...]:
    """Two rigs, at the same distances."""
    files = (typed["rig_file"], typed["shots_file"])
    others = (typed["other_rig_file"], typed["other_shots_file"])
    first, units = answer_for(files, said, COMPARE.fields[0], typed)
    other, _ = answer_for(others, said, COMPARE.fields[0], typed)
    return COMPARE.ask((first, other), said, units), units


@asks("clicks", CLICKS, (RIG, SHOTS), wishes=(METRIC, BAND, HOUSE, TAPE, MORE, JSON))
def clicks(said: Said, typed: Typed) -> tuple[Any, ...]:
    """What a click does: the bow, and no draws."""
    rig, observations = load_rig_and_shots(typed["rig_file"], typed["shots_file"])
    _, units = asked_distances(said, CLICKS.fields[0], metric=typed["metric"])
    fitted = fitted_sight(rig, observations)
    return find_clicks(rig, fitted, said, units, typed["band"] / 100.0), units


@asks(
    "group", GROUP, [file_argument("files", "[RIG.toml] SHOTS.csv", nargs=-1, required=True)],
    wishes=(METRIC, BAND, HOUSE, TAPE, MORE, JSON),
)  # fmt: skip
def group(said: Said, typed: Typed) -> tuple[Any, ...]:
    """Groups measured: no calibration, and no rig sheet either unless one is given."""
    files = typed["files"]
    if len(files) > 2:
        wrong = f"{len(files)} files are named, where a rig sheet and a file of shots are wanted"
        raise BadInput("group", wrong, GROUP_MEND)
    *sheet, shots = files
    if shots.suffix.casefold() == ".toml":
        wrong = f"{shots.name} is a rig sheet, and no file of shots stands behind it"
        raise BadInput("group", wrong, GROUP_MEND)
    rig, warnings = load_rig(sheet[0]) if sheet else (None, ())
    observations, more = load_groups(shots, rig)
    warn((*warnings, *more))
    if not observations:
        raise BadInput(shots.name, "there are no arrows in it", "Shoot a group first")
    fitted = None if rig is None else fitted_sight(rig, observations)
    tape = None if rig is None else rig.sight.tape
    found = find_groups(observations, rig, fitted, said, typed["band"] / 100.0, tape)
    return found, units_of(metric=typed["metric"])


@asks("next", NEXT, (RIG, SHOTS))
def next_step(said: Said, typed: Typed) -> tuple[Any, ...]:
    """The next step, which decides what is to be typed for it."""
    found, units = ask(NEXT, said, typed)
    click.get_current_context().meta[STEP] = found.typed
    return found, units


# Of other than a calibration, or with more to say than the question
OTHERS = {"compare": compare, "clicks": clicks, "group": group, "next": next_step}


def question_command(name: str) -> click.Command:
    """The command of a question that writes no file but its picture."""
    if name in OTHERS:
        return OTHERS[name]
    question, more = question_in(name), list[Option]()
    if question.draw is not None:
        told = f"Draw {question.drawn} into this file, too; - is standard output."
        more = [click.option("--svg", "svg_file", type=OUT, default=None, help=told), FORCE]
    return asks(name, question, (RIG, SHOTS), more=more)(partial(_drawn, question))
