"""Add: arrows at a prompt, group by group, into a file of shots; what to turn after each group.

Holds:  the command ``add``: its prompts, what is asked again, what an interruption leaves.
Never:  words of a person (reading/typed_arrows.py), rows of a file (appended_shots_file.py),
        corrections.
"""

import sys
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, TextIO

import click

from tapewright.faces.cli import standard_streams
from tapewright.faces.cli.appended_shots_file import AddedShots, GroupBegun
from tapewright.faces.cli.command_list import say_next
from tapewright.faces.cli.input_files import load_rig, units_of, warn
from tapewright.faces.cli.shared_options import HOUSE, METRIC, RIG, TAPE, with_options
from tapewright.faces.cli.standard_streams import is_read_in, say
from tapewright.faces.cli.terminal_output import show
from tapewright.ground.errors import BadInput, TapewrightError
from tapewright.reading.typed_arrows import read_arrow
from tapewright.words.number_format import counted
from tapewright.words.stops import refused_words

HELP = """\
  Distance: a number, with a unit if it is another, as "36 m"; behind it what else the file is to
  hold of the group, as "40 pin=2 slope=12 temperature=14F group=far".
  Arrows: right and up as "0.4 -0.9" (left and down are below 0), or "2 left 1 high",
  "3 at 2 o'clock", "hit"; "missed" went past the butt; "bad" was called before looking;
  "#7 0.4 -0.9" says which arrow it was, by what stands on its shaft.
  "here" stands for a group that hits where it is aimed, arrow by arrow unmeasured.
  "undo" takes the last one back. An empty line ends the group."""
INTERRUPTED = 130  # status of a program that Ctrl-C ended


class _EndError(Exception):
    """Nothing more is typed."""


@dataclass
class _Typing:
    """Lines of a person, asked for; or of a pipe, which is asked nothing."""

    lines: TextIO
    is_asked: bool
    line: int = 0
    kept: list[str] = field(default_factory=list)  # groups, for what is told at the end

    def ask(self, prompt: str) -> str:
        if self.is_asked:
            click.echo(prompt, nl=False, err=standard_streams.is_answer_written())
        text = self.lines.readline()
        self.line += 1
        if not text:
            if self.is_asked:
                say("")
            raise _EndError
        text = text.strip()
        if text == "?" and self.is_asked:
            say(HELP)
            return self.ask(prompt)
        return text

    def refuse(self, bad: BadInput) -> None:
        """Tell a person, who is asked again; a pipe ends here."""
        if not self.is_asked:
            raise BadInput(f"input, line {self.line}", bad.wrong, bad.mend)
        say(f"  {bad.wrong}. {bad.mend}.")


@click.command()
@with_options(RIG, click.argument("shots_file", metavar="SHOTS.csv", type=standard_streams.OUT))
@with_options(METRIC, HOUSE, TAPE)
def add(rig_file: Path, shots_file: Path, metric: bool, **typed: Any) -> None:  # noqa: ANN401 — heard where a rig is loaded
    """Type arrows in, group by group, and hear after each group what to turn.

    Asked are the distance, what was dialled, and where each arrow landed: right and up, as
    "0.4 -0.9", or in words, as "2 left 1 high". An empty line ends a group, another one the
    session. Each arrow stands in SHOTS.csv, on the disk, as soon as it is typed: a plain file of
    shots, whose columns are kept, and which is begun if there is none. With --tape the numbers of
    the tape are asked for in place of readings.

    From a pipe the same lines are read and nothing is asked. With - for SHOTS.csv the rows go to
    standard output, and what is said to standard error.
    """
    if is_read_in(rig_file):
        wrong = "arrows are typed at standard input"
        raise BadInput(standard_streams.DASH, wrong, "Name a file for the rig sheet")
    rig, warnings = load_rig(rig_file)
    shots = AddedShots(shots_file, rig, units_of(metric=metric), typed["tape_file"])
    warn((*warnings, *shots.warnings))
    typing = _Typing(sys.stdin, sys.stdin.isatty())
    if typing.is_asked:
        pins = " Another pin than the first: pin=2 behind the distance."
        several = pins if rig.sight.pins_below_first_m else ""
        say(f"{rig.name}: {shots.counted}. An empty line ends a group; ? is help.{several}")
    ctx = click.get_current_context()
    try:
        while _group(shots, typing):
            pass
    except KeyboardInterrupt:
        say("")
        _end(shots, typing)
        ctx.exit(INTERRUPTED)
    except (BadInput, OSError):
        _end(shots, typing)
        raise
    _end(shots, typing)
    if typing.kept:
        say_next()


def _end(shots: AddedShots, typing: _Typing) -> None:
    """What is kept, a group that was broken off as well."""
    shots.flush()
    if shots.begun is not None and shots.begun.arrows:
        arrows = counted(shots.begun.arrows, "arrow")
        say(f"Group {shots.begun.name} was not ended; kept so far: {arrows}.")
        typing.kept.append(shots.begun.name)
    where = "on standard output" if shots.path == standard_streams.STANDARD else f"in {shots.path}"
    said = f"Kept {counted(len(typing.kept), 'group')} {where}." if typing.kept else "Nothing new."
    say(said)


def _group(shots: AddedShots, typing: _Typing) -> bool:
    """One group; False when there is none."""
    try:
        group = _begin(shots, typing)
        if group is None:
            return False
        is_ended = _arrows(shots, typing, group)
    except _EndError:
        return False
    if group.arrows:
        _tell(shots, typing)
    return is_ended


def _begin(shots: AddedShots, typing: _Typing) -> GroupBegun | None:
    """A group's distance and what was dialled; None when no group follows."""
    while True:
        asked = typing.ask(f"Group {shots.next_name}, distance {shots.distance_unit}: ")
        if not asked:
            if typing.is_asked:
                return None
            continue
        try:
            told = shots.read_distance(asked)
        except BadInput as bad:
            typing.refuse(bad)
            continue
        while dialled := typing.ask(f"  {shots.asks_for}: "):
            if dialled == "undo":
                break
            try:
                return shots.begin(told, dialled)
            except BadInput as bad:
                typing.refuse(bad)


def _arrows(shots: AddedShots, typing: _Typing, group: GroupBegun) -> bool:
    """Arrows until an empty line; False when nothing more is typed."""
    unit = shots.miss_unit
    while True:
        try:
            text = typing.ask(f"  arrow {group.arrows + 1}, right and up in {unit}: ")
        except _EndError:
            return False
        if not text:
            return True
        try:
            if text == "undo":
                shots.undo()
            else:
                shots.put(read_arrow(text, unit, "arrow"))
        except BadInput as bad:
            typing.refuse(bad)


def _tell(shots: AddedShots, typing: _Typing) -> None:
    """What is kept of a group, and what to turn after it."""
    group, warnings = shots.end()
    typing.kept.append(group.name)
    if group.is_mark:
        say(f"Group {group.name}: a mark, it hits here.")
    else:
        say(f"Group {group.name}: {counted(group.arrows, 'arrow')}.")
    warn(warnings)
    try:
        show(() if group.is_mark else shots.correction(group.name))
    except TapewrightError as refused:
        say(f"What to turn cannot be told: {refused_words(refused)}")
    if typing.is_asked:
        say("")
