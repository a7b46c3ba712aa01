"""Mutants: break one thing at a time and see whether a test notices.

``./test --mutants 300`` breaks 300 places, chosen by chance over all floors, in a copy of the
tree, and asks of each only the tests that run it, the quickest first, until one fails. What was
found is kept under .mutants/, so a run that was stopped goes on where it was. What is broken how,
and which breaks break nothing, stands in mutants.toml.

Holds:  the choice, the run, the report.
Never:  a change to the checkout.
"""

import argparse
import hashlib
import json
import os
import queue
import random
import re
import shutil
import subprocess
import sys
import threading
import time
import tomllib
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from dataclasses import asdict
from pathlib import Path

from mutation.asking import run_tests
from mutation.breaks import RULES, Break, find_breaks
from mutation.covering import Covering, condense, measure, mirror_of

ROOT = Path(__file__).resolve().parent.parent
KEPT = ROOT / ".mutants"
PLUGINS = Path(__file__).resolve().parent / "mutation"
PLAN = tomllib.loads((Path(__file__).with_suffix(".toml")).read_text(encoding="utf-8"))
SPARE_S = 60.0  # pytest's own start, on a busy machine
UNTOLD_S = 0.5  # a test that is newer than the measured run
SLOWER = 20.0  # how much slower than when quiet a test may be
FLOORS = ("ground", "flight", "target", "sight", "calibration", "confidence", "field")
FLOORS += ("drawing", "storage", "photograph", "services")
FLOORS += ("words", "reading", "questions", "printing", "faces")


def main() -> int:
    """Choose, break, ask, report."""
    asked = arguments().parse_args()
    found = all_breaks(asked.inside)
    if asked.category:
        names = {two["name"] for two in PLAN["category"]} if "all" in asked.category else None
        wanted = names or set(asked.category)
        found = [one for one in found if wanted & categories(one)]
    struck = [one for one in found if is_equivalent(one)]
    found = [one for one in found if not is_equivalent(one)]
    places = len({one.place for one in found})
    print(f"{len(found)} breaks at {places} places; {len(struck)} more break nothing.", flush=True)
    chosen = choose(found, asked.many, asked.seed)
    if asked.list:
        for one in chosen:
            print(spoken(one))
        return 0
    tree = copy_tree(0)
    covering = covered(tree, old=asked.old_map)
    kept = KEPT / f"found-{digest()[:12]}.jsonl"
    known = read_found(kept)
    if asked.missed:
        last = {}
        for path in sorted(KEPT.glob("found-*.jsonl"), key=lambda one: one.stat().st_mtime):
            last |= {kin(two): two["outcome"] for two in read_lines(path)}
        chosen = [one for one in found if last.get(kin(asdict(one))) == "missed"]
    run_all(chosen, known, kept, covering, asked)
    return report(chosen, read_found(kept), asked.least)


def arguments() -> argparse.ArgumentParser:
    """What may be asked for."""
    parser = argparse.ArgumentParser(prog="./test --mutants", description=__doc__)
    parser.add_argument("many", type=int, help="places to break; 0 for all")
    parser.add_argument("--seed", type=int, default=1, help="another seed, other places")
    parser.add_argument("--in", dest="inside", default="", help="pattern of files")
    parser.add_argument("--category", action="append", default=[], help="as in mutants.toml; all")
    parser.add_argument("--jobs", type=int, default=1, help="copies of the tree at work")
    parser.add_argument("--budget", type=float, default=90.0, help="seconds of tests for one break")
    parser.add_argument(
        "--least", type=float, default=0.0, help="share that must be noticed, in %%"
    )
    parser.add_argument("--missed", action="store_true", help="only those missed the last time")
    parser.add_argument("--old-map", action="store_true", help="do not measure coverage anew")
    parser.add_argument("--list", action="store_true", help="say what would be broken")
    return parser


def sources() -> list[Path]:
    """Files of the program."""
    return sorted((ROOT / "src" / "tapewright").rglob("*.py"))


def all_breaks(inside: str) -> list[Break]:
    """All breaks of the program, those left alone left out; kept from run to run by content."""
    folder = KEPT / "breaks"
    folder.mkdir(parents=True, exist_ok=True)
    rules = f"{RULES} {json.dumps(PLAN['pairs'])}"
    found = []
    for path in sources():
        name = str(path.relative_to(ROOT))
        if not re.search(inside, name):
            continue
        source = path.read_text(encoding="utf-8")
        stamp = hashlib.sha256((rules + name + source).encode()).hexdigest()[:20]
        kept = folder / f"{stamp}.json"
        if not kept.exists():
            breaks, _ = find_breaks(name, source, PLAN["pairs"])
            kept.write_text(json.dumps([asdict(one) for one in breaks]), encoding="utf-8")
        found += [Break(**one) for one in json.loads(kept.read_text(encoding="utf-8"))]
    return [one for one in found if not any(is_left(one, rule) for rule in PLAN["leave"])]


def is_left(one: Break, rule: dict) -> bool:
    """Whether a rule leaves a break out."""
    texts = {"files": one.file, "lines": one.text, "broken": f"{one.before} {one.after}"}
    return all(re.search(rule[name], text) for name, text in texts.items() if name in rule)


def is_equivalent(one: Break) -> bool:
    """Whether a break is known to break nothing."""
    return any(
        one.file.endswith(rule["file"])
        and one.text == rule["line"]
        and rule.get("before", one.before) == one.before
        and rule.get("after", one.after) == one.after
        and rule.get("column", one.column) == one.column
        for rule in PLAN.get("equivalent", ())
    )


def categories(one: Break) -> set[str]:
    """Names of the categories that a break belongs to."""
    return {
        rule["name"]
        for rule in PLAN["category"]
        if (not rule["kinds"] or one.kind in rule["kinds"])
        and re.search(rule["files"], one.file)
        and (re.search(rule["lines"], one.text) or re.search(rule["lines"], one.scope))
        and re.search(rule.get("broken", ""), f"{one.before} {one.after}")
    }


def choose(found: list[Break], many: int, seed: int) -> list[Break]:
    """Places by chance, one break at each; each as likely as any other."""
    places: dict[tuple, list[Break]] = {}
    for one in found:
        places.setdefault(one.place, []).append(one)
    if not many:
        return found
    chance = random.Random(seed)  # noqa: S311 — chance that can be repeated
    order = chance.sample(sorted(places), min(many, len(places)))
    return [chance.choice(places[one]) for one in order]


def digest() -> str:
    """What the program and its tests are today."""
    told = hashlib.sha256()
    for folder in ("src", "tests"):
        for path in sorted((ROOT / folder).rglob("*")):
            if path.is_file() and "__pycache__" not in path.parts and ".ledger" not in path.parts:
                told.update(str(path.relative_to(ROOT)).encode() + path.read_bytes())
    return told.hexdigest()


def copy_tree(number: int) -> Path:
    """A copy of the checkout, as it is, to be broken."""
    tree = KEPT / f"tree-{number}"
    shutil.rmtree(tree, ignore_errors=True)
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT, check=True, capture_output=True, text=True,
    ).stdout.split("\0")  # fmt: skip
    for name in filter(None, listed):
        if (ROOT / name).is_file():
            (tree / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(ROOT / name, tree / name)
    compiled = [sys.executable, "-m", "compileall", "-q", "src", "tests"]
    subprocess.run(compiled, cwd=tree, check=False)
    return tree


def covered(tree: Path, *, old: bool) -> Covering:
    """The measured run of this tree, or the newest there is."""
    kept = KEPT / f"covering-{digest()[:12]}"
    runs = sorted(KEPT.glob("covering-*/covering.json"), key=lambda one: one.stat().st_mtime)
    if not (kept / "covering.json").exists():
        if old and runs:
            kept = runs[-1].parent
        elif (kept / "data").exists() and (kept / "junit.xml").exists():
            condense(tree, kept)
        else:
            measure(tree, kept)
    return Covering(ROOT, json.loads((kept / "covering.json").read_text(encoding="utf-8")))


def key(told: dict) -> str:
    """What names a break of one tree."""
    return f"{told['number']}|{kin(told)}"


def kin(told: dict) -> str:
    """What names a break on whichever line it now stands."""
    return "|".join(str(told[one]) for one in ("file", "text", "column", "before", "after"))


def read_lines(path: Path) -> list[dict]:
    """Results as they were kept; a line cut short by a kill is left out."""
    if not path.exists():
        return []
    found = []
    for line in path.read_text(encoding="utf-8").splitlines():
        try:
            found.append(json.loads(line))
        except ValueError:
            continue
    return found


def read_found(path: Path) -> dict[str, dict]:
    """The last result of each break."""
    return {key(one): one for one in read_lines(path)}


def run_all(
    chosen: list[Break],
    known: dict[str, dict],
    kept: Path,
    covering: Covering,
    asked: argparse.Namespace,
) -> None:
    """Break one after another; each result is written at once."""
    open_ones = [one for one in chosen if key(asdict(one)) not in known]
    trees: queue.Queue[Path] = queue.Queue()
    for number in range(asked.jobs):
        trees.put(KEPT / "tree-0" if number == 0 else copy_tree(number))
    lock, began = threading.Lock(), time.monotonic()
    done = Counter(
        known[key(asdict(one))]["outcome"] for one in chosen if key(asdict(one)) in known
    )

    def work(one: Break) -> None:
        tree = trees.get()
        try:
            start = time.monotonic()
            outcome, by = ask(one, tree, covering, asked.budget)
            told = asdict(one) | {"outcome": outcome, "by": by}
            told["seconds"] = round(time.monotonic() - start, 1)
        finally:
            trees.put(tree)
        with lock:
            done[outcome] += 1
            with kept.open("a", encoding="utf-8") as file:
                file.write(json.dumps(told) + "\n")
            told_of = f"{sum(done.values())}/{len(chosen)} {outcome:8s} {told['seconds']:5.0f} s"
            print(f"{told_of}  {spoken(one)}", flush=True)

    with ThreadPoolExecutor(asked.jobs) as pool:
        list(pool.map(work, open_ones))
    print(f"{time.monotonic() - began:.0f} s")


def ask(one: Break, tree: Path, covering: Covering, budget_s: float) -> tuple[str, str]:
    """Make a break in a copy and ask the tests that run it."""
    path = tree / one.file
    right = (ROOT / one.file).read_text(encoding="utf-8")
    _, wrong = find_breaks(one.file, right, PLAN["pairs"], one.number)
    try:
        compile(wrong, one.file, "exec")
    except SyntaxError:
        return "noticed", "the language"
    if wrong == right:
        return "same", ""
    took = dict(zip(covering.tests, covering.took_s, strict=True))
    first, rest = covering.asked(one.file, one.line)
    beside = [two for two in covering.newer if is_about(two, one.file)]
    beside.sort(key=lambda two: not two.startswith(mirror_of(one.file)))
    also = [
        two for rule in PLAN["also"] if re.search(rule["files"], one.file) for two in rule["tests"]
    ]
    while True:
        by = first_noticing(path, (wrong, right), [beside + first, rest, also], took, budget_s)
        if not by:
            return "missed", ""
        test = by.partition("[")[0]
        if not (tree / test.partition("::")[0]).is_file() or is_sound(tree, test):
            return "noticed", by
        first, rest, beside, also = (
            [two for two in some if not is_part(two, test)] for some in (first, rest, beside, also)
        )


def is_part(one: str, test: str) -> bool:
    """Whether a test is another one, one of its cases, or stands in that file."""
    return test in {one, one.partition("[")[0], one.partition("::")[0]}


def first_noticing(
    path: Path, texts: tuple[str, str], layers: list[list[str]], took: dict, budget_s: float
) -> str:
    """The first test that fails while the wrong text stands; "" if none does."""
    wrong, right = texts
    tree = next(one for one in path.parents if one.name.startswith("tree-"))
    path.write_text(wrong, encoding="utf-8")
    forget_compiled(path)
    try:
        left_s = budget_s
        for layer in layers:
            listed, cost_s = [], 0.0
            for two in layer:
                if two not in took or cost_s + took[two] <= left_s:
                    listed.append(two)
                    cost_s += took.get(two, UNTOLD_S)
            left_s -= cost_s
            if listed and (by := fails(tree, listed, SPARE_S + SLOWER * cost_s)):
                return by
    finally:
        path.write_text(right, encoding="utf-8")
        forget_compiled(path)
    return ""


SOUND: dict[str, bool] = {}


def is_sound(tree: Path, test: str) -> bool:
    """Whether a test passes while nothing is broken; else it notices nothing by failing."""
    if test not in SOUND:
        SOUND[test] = not fails(tree, [test], SPARE_S + SLOWER * 10.0)
    return SOUND[test]


def is_about(test: str, file: str) -> bool:
    """Whether a test that is newer than the measured run may run a file: one of the same floor."""
    return test.startswith(f"tests/{Path(file).parts[2]}/")


def forget_compiled(path: Path) -> None:
    """A break of equal length within a second would not be compiled again."""
    for one in (path.parent / "__pycache__").glob(f"{path.stem}.*.pyc"):
        one.unlink()


def fails(tree: Path, tests: list[str], limit_s: float) -> str:
    """The first test that fails; "" if all pass."""
    chosen = tree / ".chosen.json"
    chosen.write_text(json.dumps(tests), encoding="utf-8")
    files = list(dict.fromkeys(one.partition("::")[0] for one in tests))
    paths = [str(tree.resolve() / "src"), str(PLUGINS)]
    needed = any("schemathesis" in (tree / one).read_text(encoding="utf-8") for one in files)
    slow = () if needed else ("-p", "no:schemathesis")  # a third of the time that pytest starts in
    arguments = [
        "-x", "-q", "--no-header", "--tb=no", "-W",
        "ignore::pytest.PytestAssertRewriteWarning", "-p", "chosen", "-p", "no:cacheprovider", "-p",
        "no:xdist", "-p", "no:cov", "-m", "not long", *slow, "--doctest-modules", *files,
    ]  # fmt: skip
    surroundings = {
        "PYTHONPATH": os.pathsep.join(paths),
        "MUTANTS_CHOSEN": str(chosen.resolve()),
    }
    said = run_tests(arguments, tree.resolve(), surroundings, limit_s)
    if said.endswith(("exit 0", "exit 5")):
        return ""
    hit = re.search(r"^(?:FAILED|ERROR) (\S+)", said, re.MULTILINE)
    return hit[1] if hit else said.strip()[-200:]


def spoken(one: Break) -> str:
    """A break as people read it."""
    before, after = one.before.splitlines()[0][:60], (one.after.splitlines() or [""])[0][:60]
    return f"{one.file}:{one.line}: {one.kind}: {before} → {after}"


def report(chosen: list[Break], known: dict[str, dict], least: float) -> int:
    """Say how many were noticed, by floor and by kind, and name those that were not."""
    counts: Counter = Counter()
    missed = []
    for one in chosen:
        outcome = known.get(key(asdict(one)), {}).get("outcome", "open")
        floor = Path(one.file).parts[2]
        for group in ("all", f"floor {floor}", f"kind {one.kind}", *categories(one)):
            counts[group, outcome] += 1
        if outcome == "missed":
            missed.append(one)
    for group in sorted({name for name, _ in counts}):
        seen, unseen = counts[group, "noticed"], counts[group, "missed"]
        if whole := seen + unseen:
            print(f"{group:24s} {seen:5d} of {whole:5d}  {100 * seen / whole:5.1f} %")
    for one in missed:
        print(f"missed: {spoken(one)}\n        {one.text}")
    seen, unseen = counts["all", "noticed"], counts["all", "missed"]
    return int(100 * seen < least * (seen + unseen))


if __name__ == "__main__":
    sys.exit(main())
