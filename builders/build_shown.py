"""Build what pages show of the program; ``--check`` only compares.

``python builders/build_shown.py`` runs every command in README and docs/, page by page and in its
order, in a folder that holds the invented archer's files under the names that pages use.  Behind
``$`` in a block ``console`` stands what it printed (a line ``…`` leaves lines out), below
``<!-- answer: … -->`` the JSON it answered with, of each list the first entry alone.

Holds:  how a page's commands are found, run and compared, and which of them are run elsewhere.
Never:  text written by hand.
"""

import contextlib
import json
import os
import re
import shlex
import shutil
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path

import click
from click.testing import CliRunner

from tapewright.faces.cli.commands import main as program
from tapewright.faces.cli.standard_streams import OVERWRITES

HOUSE = Path(__file__).resolve().parents[1]
PAGES = (HOUSE / "README.md", *sorted((HOUSE / "docs").glob("*.md")))
GENERATED = re.compile(r"<!-- reference -->.*?<!-- /reference -->", re.DOTALL)
TYPED = re.compile(
    r"`((?:tapewright|\./run) [^`\n]+(?:\n[^`\n]+)?)`|^ *((?:tapewright|\./run) .+)$", re.MULTILINE
)
CONSOLE = re.compile(r"^```console\n(.*?)^```$", re.DOTALL | re.MULTILINE)
ANSWER = re.compile(r"(<!-- answer: ([^\n]+) -->\n```json\n).*?(^```$)", re.DOTALL | re.MULTILINE)
NUMBER = re.compile(r"\d+(?:\.\d+)?")
MASKED = re.compile(r"\b[0-9a-f]{8}(?:[0-9a-f]{12})?\b|[-−+]?\d[\d.]*(?:e-?\d+)?|null")
BLANK = re.compile(r"…|\[|\||\b[A-Z]{2,}\b")  # a place to be filled in: only looked at, not run
ELSEWHERE = {  # command: where it is run as pages show it
    "serve": "tests/support/live.py, in every journey of a browser: it ends when told to",
    "photo": "tests/faces/cli/test_photo.py: it needs a photograph",
    "erase": "tests/faces/cli/test_keeping.py: nothing of it would be left for the next",
    "batch": "tests/journeys/test_many_rigs.py: it starts processes",
    "restore": "tests/faces/cli/test_keeping.py: it wants an empty notebook",
}
FILES = {  # name on a page: file of the sample
    "mybow.toml": "heron.toml",
    "shots.csv": "heron-shots.csv",
    "wren.toml": "heron.toml",
    "wren.csv": "heron-shots.csv",
    "other.toml": "heron.toml",
    "other.csv": "heron-shots.csv",
    "monday-shots.csv": "heron-shots.csv",
}
WRITTEN = {
    "proof.csv": "group,distance_yd,reading_mm,right_in,up_in\n"
    "p1,35,25.2,0.3,0.2\np1,35,25.2,-0.5,-0.4\np1,35,25.2,0.1,0.6\n"
    "p2,55,41.5,0.9,-0.8\np2,55,41.5,-0.6,0.5\np2,55,41.5,-1.1,1.0\n"
    "p3,65,50.5,1.2,-1.5\np3,65,50.5,-0.9,0.7\np3,65,50.5,-0.4,1.3\n",
    "slip.csv": "distance_yd,reading_mm,right_in,up_in\n20,16,0.1,0,4\n40,29.2,0.3,0.5\n",
    "set.csv": "strip,distance_yd,position_mm\n14,20,0\n14,40,13.4\n14,60,30.4\n"
    "15,20,0\n15,40,13.9\n15,60,31.4\n",
    "bow.toml": 'name = "Heron"\nmeasured_on = "2031-04-05"\n[limbs]\nbrace_height = "6.5 in"\n',
    "again.toml": 'name = "Heron"\nmeasured_on = "2031-04-12"\n[limbs]\nbrace_height = "6.8 in"\n',
    "since.csv": "group,distance_yd,reading_mm,right_in,up_in\nnear,10,15.6,0.1,0.2\n",
    "house.toml": 'schema = 1\nname = "Reed Lane Archers"\n\n[[sight]]\nkind = "counter slider"\n'
    'reading_per_travel = "1.573 ± 0.010"\n',
}


@dataclass(frozen=True)
class Page:
    """A page's commands as they come, and what each of them must be compared with."""

    path: Path
    folder: Path

    def problems(self, tried: set[str], *, write: bool) -> list[str]:
        """What a reader would stumble over; with ``write`` what is shown is made anew."""
        text = self.path.read_text(encoding="utf-8")
        wrong: list[str] = []

        def console(found: re.Match[str]) -> str:
            fresh = "".join(_played(found[1], self.folder))
            if not same(found[1], fresh):
                wrong.append(f"shows another run than the program's:\n{fresh}")
            return f"```console\n{fresh}```" if write else found[0]

        def answer(found: re.Match[str]) -> str:
            fresh = shortened(_run(found[2], self.folder))
            tried.add(asked_by(found[2]))
            told = found[0].removeprefix(found[1]).removesuffix(found[3])
            if MASKED.sub("#", told).split() != MASKED.sub("#", fresh).split():
                wrong.append(f"shows another answer than {found[2]} gives")
            return found[1] + fresh + found[3] if write else found[0]

        with contextlib.chdir(self.folder):
            fresh = ANSWER.sub(answer, CONSOLE.sub(console, text))
            if write:
                wrong.clear()
                if fresh != text:
                    self.path.write_text(fresh, encoding="utf-8")
            for typed in typed_on(text):
                try:
                    _try(typed, self.folder, tried)
                except ValueError as fault:
                    wrong.append(str(fault))
                if typed.startswith("tapewright new "):
                    write_files(self.folder)
        return [f"{self.path.name}: {one}" for one in wrong]


def typed_on(text: str) -> list[str]:
    """Commands on a page, those of blocks that show a run left out."""
    bare = CONSOLE.sub("", GENERATED.sub("", ANSWER.sub("", text)))
    bare = re.sub(r" *\\\n *", " ", bare)  # a long line goes on in the next
    found = ((one[1] or one[2]).replace("\n", " ") for one in TYPED.finditer(bare))
    return list(dict.fromkeys(re.split(r" {2,}|  *#", one.strip())[0].strip() for one in found))


def asked_by(typed: str) -> str:
    """A command with its options' names: what differs in values alone is run once."""
    words = shlex.split(typed)[1:]
    options = sorted({one for one in words if one.startswith("-")} - {"--json", "--out", "--force"})
    return " ".join(
        [words[0], *options, str(sum(one.endswith((".toml", ".csv")) for one in words))]
    )


def _try(typed: str, folder: Path, tried: set[str]) -> None:
    """A command that has no blanks is run; of the others the name and the options must be there."""
    if typed.startswith("./run --with"):
        extras = [path.stem.removeprefix("with-") for path in (HOUSE / "locks").glob("with-*.lock")]
        if typed.split()[2] not in [*extras, "NAME"]:
            raise ValueError(f"{typed}: there is no such extra")
        return
    words = shlex.split(typed, posix=True)[1:]
    if not words or words[0] in {"-h", "--help", "…"} or BLANK.fullmatch(words[0]):
        return
    command = program.get_command(click.Context(program), words[0])
    if command is None:
        raise ValueError(f"{typed}: there is no command {words[0]}")
    known = {name for one in command.params for name in (*one.opts, *one.secondary_opts)}
    for word in words[1:]:
        name = re.sub(r"[\[\].,;]|=.*", "", word)
        if name.startswith("--") and name not in {*known, "--help"}:
            raise ValueError(f"{typed}: {words[0]} has no option {name}")
    if len(words) > 1 and not BLANK.search(typed) and words[0] not in ELSEWHERE:
        if asked_by(typed) not in tried:
            _run(typed, folder)
        tried.add(asked_by(typed))


def _run(typed: str, folder: Path, *, refused: bool = False) -> str:
    """What a command printed; it must have been done, unless a refusal is shown."""
    words, kept = shlex.split(typed)[1:], {"TAPEWRIGHT_NOTEBOOK": str(folder / "notebook.db")}
    forced = None if refused else OVERWRITES
    done = CliRunner().invoke(program, words, env=kept, input="\n", obj=forced)
    if done.exit_code and not refused:
        raise ValueError(f"{typed}: status {done.exit_code}: {done.output or done.exception}")
    return done.output if refused else done.stdout


def _played(block: str, folder: Path) -> Iterator[str]:
    """A block's commands with what they print now, as many lines left out as before."""
    parts, said = re.split(r"^(?=\$ )", block, flags=re.MULTILINE), ""
    for part in filter(None, parts):
        first, _, told = part.partition("\n")
        if first in said:  # a command that shows others
            continue
        said = _run(first.removeprefix("$ "), folder, refused=True)
        lines = said.rstrip("\n").split("\n")
        shown = told.rstrip("\n").split("\n")
        if "…" in shown:
            head = shown.index("…")
            tail = len(shown) - head - 1
            lines = [*lines[:head], "…", *lines[len(lines) - tail :]]
        yield "\n".join([first, *lines, ""]) + "\n" * told.endswith("\n\n")


def same(told: str, printed: str) -> bool:
    """Whether two runs agree: same words, numbers to 2 % or three of the last digit."""
    told, printed = (re.sub(r"Calibration \w+: .*", "", one) for one in (told, printed))
    if NUMBER.sub("#", told).split() != NUMBER.sub("#", printed).split():
        return False
    for one, other in zip(NUMBER.findall(told), NUMBER.findall(printed), strict=True):
        last = 10.0 ** -len(one.partition(".")[2])
        if abs(float(one) - float(other)) > max(3 * last, 0.02 * float(one)):
            return False
    return True


def shortened(answer: str) -> str:
    """An answer as JSON to be read: of each list the first entry, short things on one line."""
    return _told(_first(json.loads(answer)), "") + "\n"


def _first(value: object) -> object:
    if isinstance(value, dict):
        return {key: _first(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [_first(one) for one in value[:1]]
    return f"{value[:60]}…" if isinstance(value, str) and len(value) > 60 else value


def _told(value: object, indent: str) -> str:
    line = json.dumps(value, ensure_ascii=False)
    if len(indent) + len(line) < 84 or not isinstance(value, dict | list):
        return line
    more = indent + " "
    if isinstance(value, list):
        return f"[{_told(value[0], more)}]"
    pieces = [f"{json.dumps(key)}: {_told(inner, more)}" for key, inner in value.items()]
    lines = [pieces[0]]
    for piece in pieces[1:]:
        if "\n" in piece or "\n" in lines[-1] or len(indent) + len(lines[-1]) + len(piece) > 82:
            lines.append(piece)
        else:
            lines[-1] += f", {piece}"
    return "{" + f",\n{more}".join(lines) + "}"


def furnish(folder: Path) -> None:
    """Put into a folder what pages speak of: files, a print with its record, a notebook."""
    write_files(folder)
    _run("tapewright tape mybow.toml shots.csv --out mybow-tape", folder)
    _run("tapewright import mybow.toml shots.csv", folder)


def write_files(folder: Path) -> None:
    """The files that pages speak of, as they were."""
    sample = files("tapewright.faces") / "sample"
    texts = {name: (sample / there).read_text(encoding="utf-8") for name, there in FILES.items()}
    for name, mass in (("newbow.toml", "440 gr"), ("light.toml", "240 gr")):
        texts[name] = texts["mybow.toml"].replace("420 gr", mass)
    for name, text in (texts | WRITTEN).items():
        (folder / name).write_text(text, encoding="utf-8")


def main() -> int:
    """Write or check."""
    wrong: list[str] = []
    tried: set[str] = set()  # what one page showed need not be run again for another
    with tempfile.TemporaryDirectory() as kept:
        usual = Path(kept) / "usual"
        usual.mkdir()
        with contextlib.chdir(usual):
            furnish(usual)
        for path in sorted(PAGES, key=lambda one: one.stem != "json"):
            folder = Path(shutil.copytree(usual, Path(kept) / path.stem))
            wrong += Page(path, folder).problems(tried, write="--check" not in sys.argv)
    for one in wrong:
        print(one)
    if wrong:
        print(
            "python builders/build_shown.py writes anew what was printed; the rest is to be mended."
        )
    return bool(wrong)


if __name__ == "__main__":
    os.environ.setdefault("COLUMNS", "90")
    sys.exit(main())
