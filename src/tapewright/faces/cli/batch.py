"""Batch: refit many rigs at once: calibrations, tapes, and a summary.

Holds:  the command batch: what is done already, what is handed out, what is written, what is said.
Never:  what a worker does (batch_rigs.py), how work is shared (services).
"""

import datetime as dt
import hashlib
import json
import os
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Any

import click
from click.core import ParameterSource
from rich.console import Console
from rich.progress import MofNCompleteColumn, Progress, TimeRemainingColumn

from tapewright.faces.cli.batch_rigs import PRELOAD, BatchOrder, Made, Piece, pieces_of, refit_piece
from tapewright.faces.cli.batch_summary import Row, row_of, summary_csv, summary_json, summary_table
from tapewright.faces.cli.input_files import units_of
from tapewright.faces.cli.question_command import options_of, said_by
from tapewright.faces.cli.shared_options import BAND, FORCE, HOUSE, JSON, METRIC, SEED, with_options
from tapewright.faces.cli.standard_streams import FILE, OUT, refuse_old, write_whole
from tapewright.faces.cli.terminal_output import echo_json, show_table
from tapewright.faces.settings import today
from tapewright.ground.errors import BadInput
from tapewright.printing.print_fields import (
    FAR_END,
    PAPER,
    PROOF,
    read_far_end,
    read_paper,
    read_proof,
)
from tapewright.printing.print_record import Wish
from tapewright.questions.question import Field
from tapewright.reading.house_values import load_house
from tapewright.services import share_work
from tapewright.services.refit_many import RefitOrder

ONE_THREAD = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")
SAID_TIMES = 20  # lines of progress when nobody watches a bar
SOME_FAILED, SOME_WITHHELD = 1, 2  # exit status
MOST_WORKERS = 256
WANTED = Field(
    "wanted", "How far tapes are to be trusted", "60 yd", "50 m", "Tells what to shoot next.",
    takes="DISTANCE", option_name="to",
)  # fmt: skip
FIELDS = (WANTED, PAPER, PROOF, FAR_END)


@click.command()
@click.argument("folder", metavar="[FOLDER]", type=OUT, required=False)
@click.option("--archive", type=FILE, default=None, help="Rigs of an archive, in place of FOLDER.")
@click.option("--notebook", "whole", is_flag=True, help="Every rig of the notebook.")
@click.option(
    "--out", type=OUT, default=Path("tapewright-batch"), show_default=True, metavar="FOLDER",
    help="Where to write: calibrations, tapes, summary.",
)  # fmt: skip
@click.option("--no-tapes", is_flag=True, help="Calibrations and summary only.")
@click.option(
    "--workers", type=click.IntRange(1, MOST_WORKERS), default=None,
    help="Processes; default: one for each core.",
)  # fmt: skip
@click.option("--cluster", default=None, metavar="ADDRESS", help="Scheduler of a Dask cluster.")
@click.option("--date", default=None, help="Date on the tapes, as 2026-11-25; default: today.")
@options_of(FIELDS)
@with_options(FORCE, METRIC, BAND, SEED, HOUSE, JSON)
def batch(folder: Path | None, archive: Path | None, whole: bool, **typed: Any) -> None:  # noqa: ANN401 — options, read by name below
    """Refit many rigs at once: calibrations, tapes, and a summary.

    FOLDER holds rig sheets NAME.toml with their shots NAME.csv beside them, in sub-folders too; the
    file named with --house may lie there as well.
    A rig that cannot be used is told of and the rest goes on. Run the same command again after a
    break, or with new shots: what is done for the same sheet, shots and wishes is not done again,
    and what it wrote before is replaced.
    """
    if sum((folder is not None, archive is not None, whole)) != 1:
        raise BadInput("batch", "not one source of rigs was named", "Name FOLDER, or an option")
    if folder is None:  # whoever has it in the environment means it for files
        source = click.get_current_context().get_parameter_source("house_file")
        if source is ParameterSource.COMMANDLINE:
            wrong = "a notebook or an archive holds house values of its own"
            raise BadInput("--house", wrong, "Leave it out, or name a FOLDER")
        typed["house_file"] = None
    os.environ.update(dict.fromkeys(ONE_THREAD, "1"))  # of each worker; read when numpy loads
    order, out = _order(typed), typed["out"]
    _refuse_strange(out)
    done = _Outcome(out, order)
    with ExitStack() as open_things:
        count, pieces = pieces_of(folder, archive, order, open_things, typed["house_file"])
        tick = open_things.enter_context(_progress(count))
        for made in _shared(done.not_done(pieces, tick), order, typed):
            done.keep(made)
            tick()
            if made.why:
                click.echo(f"{made.name}: {made.why}", err=True)
    rows, written = done.write_summary()
    if typed["as_json"]:
        echo_json(written)
    else:
        show_table(summary_table(rows, order.refit.unit))
        again = f", {done.kept} of them done before" if done.kept else ""
        click.echo(f"Calibrated: {written['done']}{again}. Failed: {written['failed']}.")
        click.echo(f"Wrote {out / 'summary.csv'} and {out / 'summary.json'}")
    stops = [f"{row.rig}: {line}" for row in rows for line in row.stop]
    for line in stops:
        click.echo(line, err=True)
    if stops or written["failed"]:
        click.get_current_context().exit(SOME_WITHHELD if stops else SOME_FAILED)


def _refuse_strange(out: Path) -> None:
    """Refuse a folder with files that a batch would overwrite and did not write itself."""
    summary = out / "summary.json"
    records = (summary, *sorted((out / "calibrations").glob("*.json"))[:1])
    if any(b'"schema": "tapewright.' in one.read_bytes() for one in records if one.is_file()):
        return
    for name in ("summary.csv", "summary.json", "tapes", "calibrations"):
        if not (out / name).is_dir() or any((out / name).iterdir()):
            refuse_old("--out", out / name)


def _order(typed: Mapping[str, Any]) -> BatchOrder:
    said = said_by(FIELDS, typed)
    units = units_of(metric=typed["metric"])
    wanted = said.one_distance(WANTED.name, WANTED.usual_in(units), such="60 yd")
    wish, is_metric = Wish(said, units), typed["metric"] or wanted.unit == "m"
    return BatchOrder(
        RefitOrder(
            unit="m" if is_metric else "yd",
            wanted_m=wanted.distances_m[0],
            seed=typed["seed"],
            probability=typed["band"] / 100.0,
        ),
        tapes=not typed["no_tapes"],
        paper=read_paper(wish),
        far_end=read_far_end(wish),
        proof_mm=read_proof(said),
        today=today() if typed["date"] is None else _day(typed["date"]),
        house=load_house(typed["house_file"]) if typed["house_file"] else None,
    )


def _day(text: str) -> str:
    try:
        return dt.date.fromisoformat(text.strip()).isoformat()
    except ValueError:
        raise BadInput("--date", f"{text!r} is no day", "Write it as 2026-11-25") from None


def _shared(pieces: Iterable[Piece], order: BatchOrder, typed: Mapping[str, Any]) -> Iterator[Made]:
    """What was made of each piece, as it is finished."""
    work = partial(refit_piece, order=order)
    if typed["cluster"] is not None:
        shared = share_work.shared_by_cluster(work, pieces, typed["cluster"])
    else:
        has_own = hasattr(os, "sched_getaffinity")  # cores that this process may use
        cores = len(os.sched_getaffinity(0)) if has_own else os.cpu_count() or 1
        shared = share_work.shared_by_processes(work, pieces, typed["workers"] or cores, PRELOAD)
    for piece, made in shared:
        yield Made(piece.name, why=made.why) if isinstance(made, share_work.GivenUp) else made


@dataclass
class _Outcome:
    """The folder of results, and a row for each rig seen so far."""

    out: Path
    order: BatchOrder
    rows: list[Row] = field(default_factory=list)
    kept: int = 0

    def record_path(self, name: str) -> Path:
        return self.out / "calibrations" / f"{name}.json"

    def tape_path(self, name: str) -> Path:
        return self.out / "tapes" / f"{name}.pdf"

    def not_done(self, pieces: Iterable[Piece], tick: Callable[[], None]) -> Iterator[Piece]:
        """Pieces that must be worked on; of the others the rows are noted."""
        for piece in pieces:
            if piece.fault:
                self.rows.append(Row(piece.name, why=piece.fault))
                click.echo(f"{piece.name}: {piece.fault}", err=True)
            elif not self._is_done(piece):
                yield piece
                continue
            tick()

    def _is_done(self, piece: Piece) -> bool:
        try:
            record = json.loads(self.record_path(piece.name).read_bytes())
            if record["made_from"] != piece.made_from:
                return False
            if self.order.tapes and not record["tape_fault"]:
                found = hashlib.sha256(self.tape_path(piece.name).read_bytes()).hexdigest()
                if found != record["tape_sha256"]:
                    return False
            row = row_of(piece.name, record, self.order.refit.unit)
        except (OSError, ValueError, KeyError, TypeError):
            return False  # not there, not whole, or not ours
        self.rows.append(row)
        self.kept += 1
        return True

    def keep(self, made: Made) -> None:
        """Write what was made, the record last: it says that the rest is there."""
        if made.why:
            self.rows.append(Row(made.name, why=made.why))
            return
        if made.tape:
            _write(self.tape_path(made.name), made.tape)
        _write(self.record_path(made.name), made.record.encode())
        self.rows.append(row_of(made.name, json.loads(made.record), self.order.refit.unit))

    def write_summary(self) -> tuple[list[Row], dict[str, Any]]:
        """The rows by rig, and the same for programs, both written."""
        rows, unit = sorted(self.rows, key=lambda row: row.rig), self.order.refit.unit
        written = summary_json(rows, unit)
        text = json.dumps(written, indent=1, ensure_ascii=False) + "\n"
        _write(self.out / "summary.json", text.encode())
        _write(self.out / "summary.csv", ("\ufeff" + summary_csv(rows, unit)).encode())
        return rows, written


def _write(path: Path, content: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    write_whole(path, content)


@contextmanager
def _progress(count: int) -> Iterator[Callable[[], None]]:
    """A bar in a terminal, a line now and then elsewhere; both on standard error."""
    if sys.stderr.isatty():
        columns = (*Progress.get_default_columns()[:2], MofNCompleteColumn(), TimeRemainingColumn())
        with Progress(*columns, console=Console(stderr=True)) as bar:
            task = bar.add_task("Rigs", total=count)
            yield lambda: bar.advance(task)
        return
    seen, each = 0, max(1, -(-count // SAID_TIMES))

    def say() -> None:
        nonlocal seen
        seen += 1
        if seen % each == 0 or seen == count:
            click.echo(f"{seen} of {count} rigs", err=True)

    yield say
