"""Standard streams: input and output where a file may be named, and files already there.

Holds:  the two kinds of file that a command takes; "-" read once, or written to; bytes to files,
        whole or not at all; nothing overwritten unless that was asked for.
Never:  what is in a file, a command.
"""

import os
import shutil
import sys
import tempfile
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from textwrap import fill
from typing import Any

import click

from tapewright.ground.errors import BadInput
from tapewright.reading.text_file import RECORD_ENDING
from tapewright.words.unit_spellings import quoted

DASH = "-"
STANDARD = Path(DASH)  # an output that was asked for; an input is a copy in a folder of its own
OUT = click.Path(path_type=Path)  # a file to be written
USUAL_WIDTH = 80  # of a terminal; in a narrower one sentences are laid out by us
MOST_READ = 1_000_000_000  # bytes of standard input
READ, OVERWRITES = "tapewright.read", "tapewright.overwrites"  # what a command remembers
FORCE = "or overwrite it with --force"
RECORD_MEND = (
    "Name another file with --out: groups that were dialled on that tape need its record. If none "
    f"was, {FORCE.removeprefix('or ')}"
)


class _Readable(click.Path):
    """A file to be read; "-" is what stands on standard input."""

    def convert(
        self,
        value: Any,  # noqa: ANN401 — as click gives it
        param: click.Parameter | None,
        ctx: click.Context | None,
    ) -> Any:  # noqa: ANN401 — a path
        if value == DASH and ctx is not None and not ctx.resilient_parsing:
            return _read_in(ctx)
        return super().convert(value, param, ctx)


FILE = _Readable(path_type=Path)


def _read_in(ctx: click.Context) -> Path:
    """What stands on standard input, as a file that is gone when the command ends."""
    if READ in ctx.meta:
        mend = "It can be read once: name a file for one of them"
        raise BadInput(DASH, "two files are to come from standard input", mend)
    folder = ctx.find_root().with_resource(tempfile.TemporaryDirectory(prefix="tapewright-"))
    ctx.meta[READ] = path = Path(folder) / DASH
    with path.open("wb") as file:
        source = sys.stdin.buffer
        while chunk := source.read(1 << 20):
            if file.tell() + len(chunk) > MOST_READ:
                wrong = f"more than {MOST_READ // 1_000_000} MB came from standard input"
                raise BadInput(DASH, wrong, "Check that it is the right file")
            file.write(chunk)
    return path


def is_read_in(path: Path) -> bool:
    """Whether a file came from standard input."""
    context = click.get_current_context(silent=True)
    return context is not None and context.meta.get(READ) == path


def folder_of(path: Path) -> Path:
    """Folder in which files beside another are looked for."""
    return Path() if is_read_in(path) else path.parent


def file_beside(path: Path, ending: str, instead: str = "rig") -> Path:
    """A file beside another, named like it but for its end."""
    if is_read_in(path):
        return Path(f"{instead}{ending}")
    return path.with_name(f"{path.stem}{ending}")


def is_answer_written() -> bool:
    """Whether standard output takes a file, so that people read standard error."""
    context = click.get_current_context(silent=True)
    return context is not None and STANDARD in [
        one for one in context.params.values() if isinstance(one, Path)
    ]


def say(text: str, *, end: bool = True) -> None:
    """Say something to a person; in a narrow terminal no line ends within a word or a number."""
    is_aside = is_answer_written()
    width = shutil.get_terminal_size().columns
    if width < USUAL_WIDTH and not is_aside and sys.stdout.isatty():
        text = "\n".join(
            fill(line, width, break_long_words=False, break_on_hyphens=False)
            if len(line) > width
            else line
            for line in text.split("\n")
        )
    click.echo(text, nl=end, err=is_aside)


def write_files(
    stem: Path, files: tuple[tuple[str, bytes], ...], option: str = "--out"
) -> list[Path]:
    """Write files that are named alike but for their ends, which the name may bear already.

    All of them, or none where one is there already and differs.
    """
    if stem == STANDARD:
        return _write_out(files, option)
    if stem.name in ("", "..") or stem.is_dir():
        raise BadInput(option, f"{quoted(stem)} is a folder", "Write a file's name behind it")
    if not stem.parent.is_dir():
        wrong = f"there is no folder {quoted(stem.parent)}"
        raise BadInput(option, wrong, "Make it first, or name another")
    written = []
    for ending, _ in files:
        name = stem.name
        for known in (".pdf", ".svg", ending):
            name = name.removesuffix(known)
        written.append(stem.with_name(name + ending))
    named = list(zip(written, (content for _, content in files), strict=True))
    for path, content in sorted(named, key=lambda one: not one[0].name.endswith(RECORD_ENDING)):
        refuse_old(option, path, content)
    for path, content in named:
        write_whole(path, content)
    return written


def _write_out(files: tuple[tuple[str, bytes], ...], option: str) -> list[Path]:
    if len(files) != 1:
        wrong = f"{len(files)} files cannot share standard output"
        raise BadInput(option, wrong, "Ask for one of them, as with --format, or name a file")
    write_out(files[0][1], option)
    return []


def write_out(content: bytes, option: str) -> None:
    """Write to standard output what a file would hold."""
    if click.get_current_context().params.get("as_json"):
        wrong = "the answer as JSON goes to standard output, too"
        raise BadInput(option, wrong, "Name a file, or leave --json out")
    stream = sys.stdout.buffer
    stream.write(content)
    stream.flush()


def write_one(
    path: Path, content: bytes, option: str, prepare: Callable[[Path], None] | None = None
) -> list[Path]:
    """Write one file by the name it was given; which, unless it went to standard output."""
    if path == STANDARD:
        write_out(content, option)
        return []
    refuse_old(option, path, content)
    write_whole(path, content, prepare)
    return [path]


def refuse_old(option: str, path: Path, content: bytes | None = None) -> None:
    """Refuse to overwrite a file, unless that was asked for or it holds the same already."""
    if path == STANDARD or not path.exists() or _overwrites():
        return
    if content is not None and path.is_file() and path.read_bytes() == content:
        return
    if path.name.endswith(RECORD_ENDING):
        wrong = f"{path.name} is there already, the record of another tape"
        raise BadInput(option, wrong, RECORD_MEND)
    is_named = option.startswith("-")
    wrong = f"{path.name} is there already" if is_named else "a file of this name is there already"
    raise BadInput(option, wrong, f"Name another file, {FORCE}")


def _overwrites() -> bool:
    context = click.get_current_context(silent=True)
    return context is not None and bool(
        context.params.get("force") or context.find_root().obj == OVERWRITES
    )


def write_whole(path: Path, content: bytes, prepare: Callable[[Path], None] | None = None) -> None:
    """Write a file beside its name and rename it: it is there whole, or not at all."""
    draft = path.with_name(f"{path.name}.{os.getpid()}.part")
    try:
        if prepare is not None:
            draft.unlink(missing_ok=True)
            prepare(draft)
        draft.write_bytes(content)
        draft.replace(path)
    except OSError as refused:
        raise OSError(refused.errno, refused.strerror, str(path)) from None
    finally:  # after a full disk, or Ctrl-C: half a draft would help nobody
        with suppress(OSError):
            draft.unlink()
