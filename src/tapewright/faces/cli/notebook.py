"""Notebook: what commands do with the notebook: list it, fill it, take it home, look it through.

Holds:  the commands ``rigs``, ``import``, ``export``, ``backup``, ``restore`` and ``check``; the
        option that names a notebook, and one opened.
Never:  how anything is kept, archived and checked (storage).
"""

import datetime as dt
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

import click

from tapewright.faces.cli import standard_streams
from tapewright.faces.cli.input_files import load_rig_and_shots, units_of
from tapewright.faces.cli.shared_options import FORCE, JSON, METRIC, TAPE, with_options
from tapewright.faces.cli.standard_streams import (
    FILE,
    STANDARD,
    folder_of,
    is_read_in,
    refuse_old,
    say,
    write_one,
)
from tapewright.faces.cli.terminal_output import echo_json, show
from tapewright.faces.kept_rigs import (
    keep_calibration,
    keep_next_shot,
    kept_answer,
    kept_rig,
    session_writes,
)
from tapewright.faces.kept_stops import stops_verdict
from tapewright.faces.kept_tapes import tapes_stuck_on
from tapewright.faces.notebook_check import checked_at, checked_json, checked_lines
from tapewright.faces.rig_list import Listed, found_words, list_rigs
from tapewright.faces.settings import VARIABLE, new_id, notebook_url, today
from tapewright.ground.errors import BadInput, BadRigSheet, NotKept, TapewrightError
from tapewright.reading.tape_files import TapeFiles, load_record
from tapewright.reading.text_file import load_text
from tapewright.services import keep
from tapewright.services import move_notebook as moving
from tapewright.services.keep import KeptRig, Notebook, Write, kept_as
from tapewright.words.answer_blocks import Table
from tapewright.words.answer_columns import rounded
from tapewright.words.unit_system import IMPERIAL, Units

STOPPED = "STOP: correct the rig sheet first"
MOST_ALIKE, MOST_TOLD = 1000, 20  # rigs looked at for one name, and named in a refusal
NOTEBOOK = click.option(
    "--notebook",
    default=None,
    metavar="PATH|URL",
    help="Where the notebook is; default: TAPEWRIGHT_NOTEBOOK, else a file in your own folder.",
)


def address(given: str | None) -> str:
    """Address of the notebook asked for."""
    return notebook_url() if given is None else notebook_url({VARIABLE: given})


@contextmanager
def opened(given: str | None) -> Iterator[Notebook]:
    """The notebook asked for, closed afterwards."""
    notebook = keep.open_notebook(address(given), stops_verdict)
    try:
        yield notebook
    finally:
        notebook.close()


@click.command("import")
@click.argument("file", metavar="RIG.toml|ARCHIVE", type=FILE)
@click.argument("shots_file", metavar="[SHOTS.csv]", type=FILE, required=False)
@with_options(NOTEBOOK, TAPE)
def take(file: Path, shots_file: Path | None, notebook: str | None, tape_file: Path | None) -> None:
    """Take a rig sheet with its shots, or an archive, into the notebook.

    A file that ends in .toml is a rig sheet and becomes a new rig; SHOTS.csv becomes its first
    session, and tapes that it names are kept with it. Anything else is an archive: all of it is
    taken in or nothing, and what is there already stays as it is. From standard input, -, what
    begins as JSON does is an archive.
    """
    if file.suffix.casefold() == ".toml" or (is_read_in(file) and not _is_archive(file)):
        with opened(notebook) as kept:
            click.echo(_keep_rig(kept, file, shots_file, tape_file))
        return
    if shots_file is not None or tape_file is not None:
        wrong = "shots and tapes are taken in together with a rig sheet"
        raise BadInput(file.name, wrong, "Name the rig sheet first, its name ending in .toml")
    archive = moving.load_archive(file)
    with opened(notebook) as kept:
        click.echo(_counted(moving.take_in(kept, archive)))


def _is_archive(file: Path) -> bool:
    with file.open("rb") as content:
        return content.read(64).lstrip(b"\xef\xbb\xbf \t\r\n")[:1] == b"{"


def _keep_rig(
    kept: Notebook, rig_file: Path, shots_file: Path | None, tape_file: Path | None
) -> str:
    """Keep a rig with its shots, calibrated so that lists know its trust; what to tell of it."""
    tapes = TapeFiles(folder_of(shots_file or rig_file))
    rig, observations = load_rig_and_shots(rig_file, shots_file, tapes)
    sheet = load_text(rig_file, 1_000_000, BadRigSheet)
    rig_id = new_id()
    writes = [Write(rig_id, KeptRig(sheet, rig.name))]
    if observations and shots_file:
        source = "standard input" if is_read_in(shots_file) else shots_file.name
        session = keep.KeptSession(today(), "sighting", f"From {source}", 0)
        writes += session_writes(rig_id, session, observations)
    records = (*tapes.records(), *([] if tape_file is None else [load_record(tape_file)]))
    stuck_on = tapes_stuck_on(records, rig.sight.tape, today())
    writes += [Write(new_id(), one, rig_id=rig_id) for one in stuck_on]
    kept.save_all(writes, _now())
    arrows = sum(one.group.arrows for one in observations)
    told = f"Kept {rig.name} with {len(observations)} groups, {arrows} arrows."
    if stuck_on:
        on_it = f"tape {rig.sight.tape.name}" if rig.sight.tape else "no tape any more"
        told += f" On the sight: {on_it}."
    whole = kept_rig(kept, rig_id)
    try:
        answer = kept_answer(whole, IMPERIAL)
    except TapewrightError as refused:
        return f"{told} It cannot be calibrated yet: {refused}"
    entry = keep_calibration(kept, rig_id, whole, answer, new_id(), _now())
    if entry is not None:
        keep_next_shot(kept, entry, answer, _now())
    return told


def _now() -> dt.datetime:
    return dt.datetime.now(dt.UTC)


def _counted(counts: moving.Counts) -> str:
    """What taking in an archive did."""
    if not counts.new + counts.longer:
        out = f", or were erased here ({counts.erased}) and stay out" if counts.erased else ""
        return f"Nothing new: all {counts.same} entries were there already{out}."
    aside = " Its house values lie aside: no rig uses them yet." if counts.houses_aside else ""
    aside += f" {counts.erased} were erased here and stay out." if counts.erased else ""
    return (
        f"Taken in: {counts.new} new entries, {counts.longer} with later versions; "
        f"{counts.same} were there already.{aside}"
    )


@click.command()
@click.option("--rig", default=None, metavar="NAME", help="Only this rig; default: all.")
@click.option(
    "--out", type=standard_streams.OUT, default=None,
    help="A new file; default: by the day's date; - is standard output.",
)  # fmt: skip
@with_options(FORCE, NOTEBOOK)
def export(rig: str | None, out: Path | None, force: bool, notebook: str | None) -> None:  # noqa: ARG001 — force is heard where files are written
    """Write everything that is kept, or one rig of it, to one readable file.

    The file can be imported on another machine, or again here: what is there already stays.
    """
    out = out or Path(f"tapewright-{today()}.json")
    with opened(notebook) as kept:
        text = moving.archive_text(kept, None if rig is None else (rig_id_of(kept, rig),))
    for path in write_one(out, text.encode(), "--out", moving.make_private):
        say(f"Wrote {path}")


def rig_id_of(kept: Notebook, name: str, place: str = "--rig", *, withdrawn: bool = False) -> str:
    """Id of the rig of a name, or of an id."""
    page = kept.rigs(keep.RigsAsked(name, limit=MOST_ALIKE, withdrawn=withdrawn))
    found = [one.id for one in page.rigs if name == kept_as(one, KeptRig).name]
    if not found:
        with suppress(NotKept):
            found = [kept.entry(name).id]
    if len(found) == 1:
        return found[0]
    wrong = f"{len(found) or 'no'} rigs are called {name!r}"
    if found:
        mend = f"Give the id of one: {', '.join(found[:MOST_TOLD])}"
    else:
        rigs = page.rigs or kept.rigs(keep.RigsAsked(limit=MOST_TOLD)).rigs
        names = ", ".join(sorted(kept_as(one, KeptRig).name for one in rigs[:MOST_TOLD]))
        mend = f"Choose from: {names or 'none yet'}; or give its id, see tapewright rigs --json"
    raise BadInput(place, wrong, mend)


@click.command()
@click.argument("file", type=standard_streams.OUT)
@NOTEBOOK
def backup(file: Path, notebook: str | None) -> None:
    """Copy the whole notebook into a new file, while others may go on writing."""
    if file == STANDARD:
        wrong = "a backup is a file of its own, no stream"
        raise BadInput(
            standard_streams.DASH, wrong, "Name a new file, or use tapewright export --out -"
        )
    with opened(notebook) as kept:
        moving.backup(kept, file)
    click.echo(f"Wrote {file}")


@click.command()
@click.argument("file", type=FILE)
@NOTEBOOK
def restore(file: Path, notebook: str | None) -> None:
    """Take a backup or an archive into an empty notebook.

    Nothing is ever replaced: if the notebook is not empty, name a new one with --notebook.
    """
    with opened(notebook) as kept:
        click.echo(_counted(moving.restore(kept, file)))


@click.command()
@click.option(
    "--save", type=standard_streams.OUT, default=None, metavar="SOUND.json",
    help="Write what is sound to a new archive, to be restored into a new notebook.",
)  # fmt: skip
@with_options(FORCE, NOTEBOOK, JSON)
@click.pass_context
def check(
    ctx: click.Context,
    save: Path | None,
    force: bool,  # noqa: ARG001 — heard where files are written
    notebook: str | None,
    as_json: bool,
) -> None:
    """Look at every row of the notebook and say what is not as it was written.

    Status 2 if anything is not. Nothing is changed: what is damaged stays as it is.
    """
    if save is not None:
        refuse_old("--save", save)
    url = address(notebook)
    if url.startswith("sqlite:///") and not Path(url.removeprefix("sqlite:///")).exists():
        wrong = "there is no notebook yet"
        raise BadInput(url.removeprefix("sqlite:///"), wrong, "Name another with --notebook")
    checked, sound = checked_at(url)
    if as_json:
        echo_json(checked_json(checked))
    else:
        say("\n".join((f"Notebook {checked.place}", *checked_lines(checked))))
    if save is not None and sound is not None:
        text = moving.text_of(sound)
        for path in write_one(save, text.encode(), "--save", moving.make_private):
            click.echo(f"Wrote {path}: {len(sound.histories)} sound entries.", err=as_json)
    if not checked.is_sound:
        ctx.exit(2)


@click.command()
@click.option(
    "--find", default="", metavar="TEXT", help="Only rigs whose name holds this; accents aside."
)
@click.option(
    "--limit", default=1000, show_default=True, type=click.IntRange(1, 1_000_000),
    help="How many at most.",
)  # fmt: skip
@click.option("--after", default="", metavar="ID", help="Those that follow this rig in the list.")
@with_options(NOTEBOOK, METRIC, JSON)
def rigs(
    find: str, limit: int, after: str, notebook: str | None, metric: bool, as_json: bool
) -> None:
    """List the rigs in the notebook by name.

    Each with how far it is trusted, when it was shot last, and what is next. If there are more
    than the limit, the last line (in JSON: next_after) says how to go on.
    """
    units, asked = units_of(metric=metric), keep.RigsAsked(find, after, limit=limit)
    with opened(notebook) as kept:
        page, listed = list_rigs(kept, asked)
    if as_json:
        written = {
            "schema": "tapewright.rigs/1",
            "rigs": [_row(one, units) for one in listed],
            "next_after": page.after,
        }
        echo_json(written)
        return
    if not listed:
        nobody = "No rig is kept yet. Try tapewright import RIG.toml, or tapewright serve."
        click.echo("No rig is found." if find or after else nobody)
        return
    for one in listed:
        for line in one.stops:
            click.echo(f"{one.name}: {line}")
    heads = ("rig", f"trusted {units.distance}", "shot last", "arrows", "next")
    show((Table("Rigs", heads, tuple(_cells(one, units) for one in listed)),))
    if page.after is not None:
        click.echo(f"{found_words(page, asked)}. More: --after {page.after}, or --find TEXT")


def _cells(rig: Listed, units: Units) -> tuple[str, ...]:
    """A rig of the list as a line of the table."""
    row = _row(rig, units)
    distance = row[f"trusted_distance_{units.distance}"]
    name, trusted = rig.name, f"{distance:.0f}" if distance else "–"
    name += f" ({rig.apart})" if rig.apart else ""
    return name, trusted, row["shot_on"] or "never", str(row["arrows"]), row["next"]


def _row(rig: Listed, units: Units) -> dict[str, Any]:
    """A rig of the list, ready for JSON."""
    found, far_m = rig.calibration, rig.trusted_m
    trusted = rounded(far_m, units.distance)
    return {
        "id": rig.entry.id,
        "name": rig.name,
        "version": rig.entry.number,
        "stop": list(rig.stops),
        f"trusted_distance_{units.distance}": trusted,
        "shot_on": rig.shot_on or None,
        "arrows": found.arrows if found else 0,
        "next": STOPPED if rig.stops else found.next_shot if found else "",
    }


COMMANDS = {one.name: one for one in (rigs, take, export, backup, restore, check)}
