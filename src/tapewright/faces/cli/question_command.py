"""Question command: a question's record becomes a command with its options and help.

Holds:  the options of a question; the command that asks and shows it.
Never:  what a question asks or says (questions), other commands.
"""

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any, TypeVar

import click

from tapewright.faces.cli.input_files import MOST_BYTES, answer_for, say_json, spoken
from tapewright.faces.cli.options import BAND, FILE, JSON, METRIC, RIG, SEED, SHOTS, with_options
from tapewright.faces.cli.tables import show
from tapewright.ground.errors import BadShots, Withheld
from tapewright.questions.question import Field, Question, Said
from tapewright.reading.text_file import file_name, load_text
from tapewright.words.units import Units

Found = TypeVar("Found")


def options_of(fields: tuple[Field, ...]) -> Callable[[Any], Any]:
    """A command's options for what may be said with a question."""
    return with_options(*map(_option, fields))


def _option(field: Field) -> Callable[[Any], Any]:
    if field.flags:
        return _flags(field, *field.flags)
    kind: Any = FILE if field.is_file else click.Choice(field.choices) if field.choices else str
    takes = None if field.choices else "FILE" if field.is_file else field.takes
    if field.is_switch:
        return click.option(field.option, field.name, flag_value="yes", help=field.about)
    return click.option(
        field.option, field.name, default=None, type=kind, metavar=takes, help=field.about
    )


def _flags(field: Field, first: str, second: str) -> Callable[[Any], Any]:
    """A field of two choices as two flags."""

    def chosen(_context: click.Context, _option: click.Parameter, is_first: Any) -> str | None:  # noqa: ANN401 — a flag, or none
        return None if is_first is None else field.choices[0 if is_first else 1]

    both = f"--{first}/--{second}"
    return click.option(both, field.name, default=None, callback=chosen, help=field.about)


def said_by(fields: tuple[Field, ...], typed: Mapping[str, Any]) -> Said:
    """What options say, files read; an option with nothing behind it is refused."""
    texts: dict[str, str | None] = {}
    places = {field.name: field.option for field in fields if field.option_name}
    for field in fields:
        value = typed.get(field.name)
        if isinstance(value, Path):
            texts[field.name] = load_text(value, MOST_BYTES, BadShots) or " \n"
            places[field.name] = file_name(value)
        else:
            texts[field.name] = value
    return spoken(texts, places)


def ask(
    question: Question[Any], files: tuple[Path, Path | None], typed: Mapping[str, Any]
) -> tuple[Any, Units]:
    """Calibrate and ask; where it is withheld, the command ends with the reason."""
    said = said_by(question.fields, typed)
    where = next((one for one in question.fields if one.name == question.where), None)
    answer, _, units = answer_for(files, said, where, typed)
    try:
        return question.ask(answer, said, units), units
    except Withheld as refused:
        if question.withheld is None or not typed["as_json"]:
            raise
        say_json(question.withheld(answer, refused, units))
        click.get_current_context().exit(2)


def answer(
    question: Question[Any], files: tuple[Path, Path | None], typed: Mapping[str, Any]
) -> None:
    """Ask, and show what was found in the form wanted."""
    found, units = ask(question, files, typed)
    show_answer(question, found, units, as_json=typed["as_json"])


def show_answer(
    question: Question[Found],
    found: Found,
    units: Units,
    *,
    as_json: bool,
    written: Sequence[Path] | None = None,
) -> None:
    """Show what was found in the form wanted, and which files were written, if any could be."""
    if as_json:
        files = {} if written is None else {"files": [str(path) for path in written]}
        say_json(question.write(found, units) | files)
        return
    show(question.tell(found, units))
    for path in written or ():
        click.echo(f"Wrote {path}")


def question_command(name: str, question: Question[Any]) -> click.Command:
    """The command of a question about a calibrated rig."""

    @click.command(name, help=f"{question.about}\n\n{question.more}".strip())
    @with_options(RIG, SHOTS)
    @options_of(question.fields)
    @with_options(METRIC, BAND, SEED, JSON)
    def command(rig_file: Path, shots_file: Path | None, **typed: Any) -> None:  # noqa: ANN401 — options, handed on by name
        answer(question, (rig_file, shots_file), typed)

    return command
