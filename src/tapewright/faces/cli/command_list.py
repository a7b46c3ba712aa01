"""Command list: commands as people meet them, a line each, and what to type next.

Holds:  sections of the list of commands; the line of each; where one goes on after a main command;
        how the program is called where it stands.
Never:  what a command does (its file), which step comes next and why (``tapewright next``).
"""

import os
import shlex
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

import click

from tapewright.faces.cli.standard_streams import OVERWRITES, READ, say
from tapewright.questions.all_questions import RARE
from tapewright.reading.text_file import RECORD_ENDING

SECTIONS = {
    "Your first tape": {
        "demo": "All of it once, on an invented archer.",
        "new": "A commented rig sheet to fill in.",
        "gauge": "A mm strip for a sight without numbers.",
        "target": "A target with a measured grid and aiming mark.",
        "plan": "What to shoot next, and why; nothing unsafe.",
        "add": "Type arrows in; what to turn after each group.",
        "fit": "Marks, how far to trust them, what fits ill.",
        "tape": "The sight tape; two known marks are enough.",
        "next": "The one thing to do next, and why.",
    },
    "After a group": {
        "group": "Groups measured; what to turn, or to leave it.",
        "arrows": "Which numbered arrow hits off its fellows.",
        "photo": "Arrows from a picture of the target.",
        "clicks": "What a click does at each distance.",
    },
    "Prove it, and when something changes": {
        "prove": "Is the tape right, and if not, why it misses.",
        "drift": "Do the marks drift over the season, and why.",
        "stuck": "Write down which tape is on the sight, where.",
        "strips": "Which strip to take, ours or a ready-made one.",
        "setup": "Is a bow put together again as it was.",
        "broadheads": "Do broadheads hit by the same marks.",
        "change": "Marks for another arrow, peep or string.",
        "compare": "Two rigs side by side.",
    },
    "In the field": {
        "card": "A range card: screen, paper, spreadsheet.",
        "large": "What to set at an event's distances, large.",
        "pocket": "A card for the phone that needs no signal.",
        "slopes": "What to dial up and down hill.",
        "weather": "Marks in other air.",
        "cold": "What is proven in the cold, in heavy clothes.",
        "wind": "How far to hold off in a wind.",
        "hold": "One mark for as many distances as it serves.",
    },
    "Look into it": {
        "budget": "Which error costs how much; what to improve.",
        "limits": "How far each pin goes till it meets the arrow.",
        "bolt": "Which hole and extension to bolt the sight to.",
        "peep": "How peep and pin look, and what a pin covers.",
        "level": "What a tilted bow, level or sight costs.",
        "rules": "What a class's rules leave of each print.",
        "picture": "A chart as SVG or PNG.",
    },
    "Keep it": {
        "serve": "The notebook in a browser, on a phone too.",
        "rigs": "Its rigs: trust, last session, what is next.",
        "import": "Take in a sheet with its shots, or an archive.",
        "export": "Write all, or one rig, to one readable file.",
        "backup": "Copy it whole while others go on writing.",
        "restore": "Take a backup or an archive into an empty one.",
        "check": "Look at every row for damage.",
        "handover": "One page for whoever takes the bow.",
        "give": "A bow's sheet without its person, to hand on.",
        "erase": "Erase a person's rigs, names too, for good.",
    },
    "Many bows": {
        "batch": "Refit many rigs at once: tapes and a summary.",
        "family": "Ready strips for one kind of sight, numbered.",
        "house": "What a shop or club knows, for silent sheets.",
    },
}
OTHERS = "More"
# Hardly anyone needs them: listed by --help --more alone; they work as all others do.
SELDOM = frozenset({*RARE, "picture", "batch", "family", "house"})
# After these a person is told how to go on: by which command.
GO_ON = {
    "new": "next", "gauge": "next", "add": "next", "fit": "next", "tape": "next", "group": "next",
    "prove": "next", "stuck": "next", "change": "next", "plan": "add",
}  # fmt: skip
# And after "next" by which, where its step is a command of its own, and what stands behind it.
BY_STEP = {
    "shoot": ("add", ()), "tape": ("tape", ()), "prove": ("add", ()),
    "card": ("card", ("--print", "page")),
}  # fmt: skip
STEP = "tapewright.step"  # of the context: which step "next" told
USUAL_SHOTS, USUAL_PROOF = "shots", "proof"


def in_sections(names: Iterable[str]) -> Iterator[tuple[str, list[tuple[str, str]]]]:
    """Commands that there are, by section, each with its line; "" for one that nobody placed."""
    there = list(names)
    widest = max(map(len, there), default=0)
    for title, lines in SECTIONS.items():
        rows = [(name.ljust(widest), line) for name, line in lines.items() if name in there]
        if rows:
            yield title, rows
    placed = {name for lines in SECTIONS.values() for name in lines}
    if rest := [(name.ljust(widest), "") for name in there if name not in placed]:
        yield OTHERS, rest


def called() -> str:
    """What a person types for the program: ``./run`` in a clone, which says so itself."""
    return os.environ.get("TAPEWRIGHT_CALLED") or "tapewright"


def say_next(written: Sequence[Path] = ()) -> None:
    """Say after a command what to type next; nothing where files came from elsewhere.

    A record of a tape among what was written is that of what is on the sight from then on.
    """
    context = click.get_current_context(silent=True)
    if context is None or context.params.get("as_json"):
        return
    if READ in context.meta or context.find_root().obj == OVERWRITES:
        return
    name, step, files = context.info_name or "", context.meta.get(STEP, ""), _files(context)
    command, more = BY_STEP.get(step, ("", ())) if name == "next" else (GO_ON.get(name, ""), ())
    if not command or not files:
        return
    records = [one for one in written if one.name.endswith(RECORD_ENDING)]
    tape = records[0] if records else context.params.get("tape_file")
    on = () if tape is None else ("--tape", str(tape))
    if step == "prove":
        files = [files[0], _free(files[-1], USUAL_PROOF)]
    elif command == "add" and len(files) == 1:
        files.append(files[0].with_name(f"{USUAL_SHOTS}.csv"))
    when = ", once it is stuck on" if name == "tape" and records else ""
    say(f"Next{when}: {shlex.join([called(), command, *map(str, files), *more, *on])}")
    if name == "add" and on:
        proof = shlex.join([called(), "prove", str(files[0]), "SHOTS.csv", str(files[1]), *on])
        say(f"Or, where SHOTS.csv holds what the tape was made from and these prove it: {proof}")


def _free(file: Path, name: str) -> Path:
    """A file of shots beside another, which there is not yet."""
    names = (name, *(f"{name}-{count}" for count in range(2, 100)))
    each = [file.with_name(f"{one}.csv") for one in names]
    return next((one for one in each if not one.exists()), each[0])


def _files(context: click.Context) -> list[Path]:
    """Rig sheet and shots as a person goes on with them; none where there is no sheet."""
    typed = context.params
    if context.info_name == "group":
        return list(typed["files"]) if len(typed["files"]) == 2 else []
    before = "new_" if context.info_name == "change" else ""
    rig = typed.get(f"{before}rig_file")
    shots = typed.get("out_file") or typed.get(f"{before}shots_file")
    return [one for one in (rig, shots) if isinstance(one, Path)] if rig else []
