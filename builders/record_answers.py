"""Record answers: everything the program says, in a folder, to be compared with another version.

    PYTHONPATH=src python builders/record_answers.py OLD
    (cd /another/checkout && PYTHONPATH=src python THIS/builders/record_answers.py NEW)
    diff -r OLD NEW

Every command with every option, every page and every address, of the sample and of rigs by
chance: one file an answer, named by what was asked.  The program is whichever Python finds; what
is known of it by name stands in `APPS`, the rest is looked up.  Files that are no text, and long
ones, stand as their size and SHA-256.  What differs between two runs of one program (moments, ids,
sums over them) is made the same: answers/sameness.py says how.  It is no evidence that an answer
is right.

Holds:  the jobs, their sharing out, the count.
Never:  what is asked (answers/calls.py, answers/walks.py).
"""

import argparse
import importlib
import io
import os
import tempfile
import time
import tomllib
from contextlib import contextmanager
from multiprocessing import get_context
from pathlib import Path

os.environ |= {f"{one}_NUM_THREADS": "1" for one in ("OMP", "OPENBLAS", "MKL")}
os.environ["PYTHONHASHSEED"] = "0"  # for the processes that ask: a DXF's order hangs on it

from answers import calls, rigs, sameness, typed, visited, walks

# Functions that make the app as a server's worker does, from TAPEWRIGHT_… in the environment.
APPS = ("tapewright.faces.web.serving:app_from_environment",)
NOTEBOOK, PASSCODE_FILE = "TAPEWRIGHT_NOTEBOOK", "TAPEWRIGHT_PASSCODE_FILE"
IN_TERMINAL = ("fit rig.toml shots.csv", "limits rig.toml shots.csv", "wind rig.toml shots.csv",
               "card rig.toml", "group rig.toml shots.csv", "fit sheet-typo.toml")  # fmt: skip


def program():
    """The group of commands that the checkout's pyproject.toml declares."""
    package = importlib.import_module("tapewright")
    told = Path(package.__file__).resolve().parents[2] / "pyproject.toml"
    scripts = tomllib.loads(told.read_text(encoding="utf-8"))["project"]["scripts"]
    return package, _named(scripts["tapewright"])


def _named(place):
    module, _, name = place.partition(":")
    return getattr(importlib.import_module(module), name)


def app_over(folder, passcode_file=""):
    """The app over the notebook of a folder, made as a server makes it."""
    os.environ[NOTEBOOK] = f"sqlite:///{folder}/web.db"
    os.environ[PASSCODE_FILE] = str(passcode_file)
    for place in APPS:
        try:
            make = _named(place)
        except (ImportError, AttributeError):
            continue
        return make()
    raise SystemExit("None of APPS in builders/record_answers.py is there: name the new one.")


def picture():
    """A target of our own: a white sheet with a grey grid and three dark holes, as PNG."""
    import numpy as np  # noqa: PLC0415 — after the threads are told
    from PIL import Image  # noqa: PLC0415 — only where a picture is wanted

    down, across = np.mgrid[0:1000, 0:800]
    shade = np.full((1000, 800), 250, np.uint8)
    shade[(down % 50 == 0) | (across % 50 == 0)] = 215
    for x, y in ((300, 420), (455, 510), (390, 640)):
        shade[(across - x) ** 2 + (down - y) ** 2 < 60] = 25  # px²
    file = io.BytesIO()
    Image.fromarray(shade).convert("RGB").save(file, "PNG")
    return file.getvalue()


def lay_out(folder, rig, image):
    """A rig's files where commands find them."""
    for name, text in rig.files.items():
        (folder / name).write_text(text, encoding="utf-8")
    (folder / "image.png").write_bytes(image)


def sample_files(group):
    """The sample as a rig, as the demo writes it."""
    from click.testing import CliRunner  # noqa: PLC0415 — beside its only use

    with _folder() as folder:
        CliRunner().invoke(group, ["demo", str(folder)])
        return rigs.sample_rig(folder)


def sample_commands(group, out, _asked):
    """The sample: each command in all its forms, refusals, a terminal."""
    record = typed.Record(out / "commands" / "sample")
    with _folder() as folder:
        lay_out(folder, sample_files(group), picture())
        for name, text in calls.BAD.items():
            (folder / name).write_text(text, encoding="utf-8")
        (folder / "many").mkdir()
        for name, ending in (("rig.toml", "toml"), ("shots.csv", "csv")):
            (folder / "many" / f"a.{ending}").write_bytes((folder / name).read_bytes())
        (folder / "many" / "b.toml").write_text(calls.BAD["sheet-typo.toml"], encoding="utf-8")
        terminal = typed.Terminal(group, folder, record)
        for words in (*calls.calls_of(calls.SAMPLE), *calls.refusals(group)):
            terminal.call(words)
        for line in IN_TERMINAL:
            terminal.call(line.split(), terminal=True)
    return len(record)


def rig_commands(group, out, asked):
    """A rig by chance: each command."""
    rig = rigs.make_rig(asked.number, asked.seed)
    record = typed.Record(out / "commands" / rig.name.casefold().replace(" ", "-"))
    with _folder() as folder:
        lay_out(folder, rig, picture())
        terminal = typed.Terminal(group, folder, record)
        for words in calls.calls_of(calls.RIG):
            wound = ["--wheel", "48 mm"] * (words[0] == "tape" and rig.kind == "wheel")
            terminal.call([*words, *wound])
    return len(record)


def notebook_commands(group, out, asked):
    """A notebook of all rigs by chance, and a batch of them."""
    record = typed.Record(out / "commands" / "notebook")
    with _folder() as folder:
        terminal = typed.Terminal(group, folder, record)
        (folder / "many").mkdir()
        sameness.begin_anew()
        for number in range(asked.rigs):
            rig = rigs.make_rig(number, asked.seed)
            lay_out(folder, rig, b"no picture")
            for name, ending in (("rig.toml", "toml"), ("shots.csv", "csv")):
                text = rig.files[name]
                (folder / "many" / f"rig-{number:02}.{ending}").write_text(text, encoding="utf-8")
            terminal.call(["import", "rig.toml", "shots.csv"], keeps=True)
        for words in calls.notebook_calls():
            terminal.call(words, keeps=True)
        day = ["--date", "2031-04-05", "--workers", "1"]
        terminal.call(["batch", "many", "--out", "all", *day], keeps=True)
        terminal.call(["batch", "many", "--out", "all", "--json", *day], keeps=True)
    return len(record)


def sample_pages(group, out, _asked):
    """The sample on the web: every form, every route."""
    files = sample_files(group).files
    with _visitor(out / "web" / "sample") as visitor:
        walks.walk_sample(visitor, files, picture())
        missed = visitor.unasked()
    if missed:
        _missed.append(f"Nobody asked {', '.join(missed)}: see builders/answers/walks.py.")
    return len(visitor.record)


def rig_pages(_group, out, asked):
    """A rig by chance on the web."""
    rig = rigs.make_rig(asked.number, asked.seed)
    with _visitor(out / "web" / rig.name.casefold().replace(" ", "-")) as visitor:
        walks.walk_rig(visitor, rig.files)
    return len(visitor.record)


def background(_group, out, _asked):
    """What the app does while it is served."""
    with _visitor(out / "web" / "served", lives=True) as visitor:
        walks.walk_background(visitor)
    return len(visitor.record)


def strangers(group, out, _asked):
    """The passcode, other hosts, other sites."""
    from click.testing import CliRunner  # noqa: PLC0415 — beside its only use

    with _folder() as folder:
        words = ["--port", "8672", "--no-browser", "--lan", "--name", "127.0.0.1"]
        place = ["--notebook", str(folder / "notes.db")]
        told = CliRunner().invoke(group, ["serve", *words, *place]).output
        (file,) = folder.glob("*.passcode")
        passcode = told.partition("Passcode: ")[2].split()[0]
        with _visitor(out / "web" / "strangers", passcode_file=file) as visitor:
            walks.walk_strangers(visitor, passcode)
    return len(visitor.record)


@contextmanager
def _visitor(out, *, lives=False, passcode_file=""):
    """A visitor of an app over a fresh notebook."""
    sameness.begin_anew()
    with _folder() as folder:
        app = app_over(folder, passcode_file)
        visitor = visited.Visitor(app, typed.Record(out, {str(folder): "folder"}), lives=lives)
        try:
            yield visitor
        finally:
            if lives:
                visitor.close()


def _folder():
    return _Folder(prefix="answers-")


class _Folder(tempfile.TemporaryDirectory):
    """A folder that is gone afterwards, as a path."""

    def __enter__(self):
        return Path(super().__enter__()).resolve()


ONCE = (sample_commands, sample_pages, notebook_commands, background, strangers)
EACH = (rig_commands, rig_pages)
_loaded, _missed = [], []


def begin(fonts):
    """Load the program into a process, its clock standing; where pictures keep a list of fonts."""
    os.environ["MPLCONFIGDIR"] = str(fonts)
    package, _ = program()
    sameness.stand_still(package)
    typed.close_servers()
    _loaded.append(program()[1])


def do(job):
    """One job in a loaded process: name, answers, seconds of processor, what is left out."""
    task, out, asked = job
    _missed.clear()
    since = time.process_time()
    count = task(_loaded[0], out, asked)
    name = task.__name__ + (f" {asked.number}" if task in EACH else "")
    return name, count, time.process_time() - since, tuple(_missed)


def with_today(out):
    """What to tell if the true day stands in an answer: tomorrow's would differ."""
    found = [
        str(path.relative_to(out))
        for path in out.rglob("*")
        if path.is_file() and sameness.TRUE_DAY in path.read_text(encoding="utf-8")
    ]
    return [f"The true day stands in {len(found)} answers, such as {found[0]}."] if found else []


def main():
    """Share the jobs out, and count."""
    wanted = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    wanted.add_argument("folder", type=Path)
    wanted.add_argument("--rigs", type=int, default=30)
    wanted.add_argument("--seed", type=int, default=1)
    wanted.add_argument("--workers", type=int, default=2)
    wanted.add_argument("--only", default="", help="Jobs whose name begins so.")
    asked = wanted.parse_args()
    out = asked.folder.resolve()
    if out.exists() and any(out.iterdir()):
        raise SystemExit(f"{asked.folder} is not empty: name a new folder.")
    jobs = [(task, out, argparse.Namespace(number=0, **vars(asked))) for task in ONCE]
    jobs += [
        (task, out, argparse.Namespace(number=number, **vars(asked)))
        for number in range(asked.rigs)
        for task in EACH
    ]
    jobs = [job for job in jobs if job[0].__name__.startswith(asked.only)]
    since, answers, spent_s = time.monotonic(), 0, 0.0
    wrong = []
    with _folder() as fonts, get_context("spawn").Pool(asked.workers, begin, (fonts,)) as pool:
        for name, count, took_s, left in pool.imap_unordered(do, jobs):
            wrong += left
            answers, spent_s = answers + count, spent_s + took_s
            print(f"{name}: {count} answers, {took_s:.1f} s", flush=True)
    took_s = time.monotonic() - since
    print(f"{answers} answers of {len(jobs)} jobs, {spent_s:.0f} s of processor, {took_s:.0f} s.")
    raise SystemExit("\n".join([*wrong, *with_today(out)]) or 0)


if __name__ == "__main__":
    main()
