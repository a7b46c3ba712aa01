"""Simulations: the longest ones, run by hand, their findings kept with the commit they stand for.

    python builders/build_simulations.py            lists them
    python builders/build_simulations.py changes    runs one, on all processors

What is found goes into builders/simulations, from where builders/build_accuracy.py takes it. The
functions are those of the short runs in tests/outside, called with more archers; each checks the
same bounds. A tree with changes that nobody committed is refused: its findings would have no name.

Holds:  which simulations there are; the file of each.
Never:  a simulation; a bound.
"""

import argparse
import importlib
import json
import os
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
KEPT = ROOT / "builders" / "simulations"
# Which function of which room of tests/outside runs each
LONG_RUNS = {
    "archers": ("archers", "long_run"),
    "broadheads": ("broadheads", "long_run"),
    "carried": ("carried", "long_run"),
    "changes": ("changes", "long_run"),
    "cold": ("cold", "long_run"),
    "contradictions": ("contradictions", "long_run"),
    "faults": ("faults", "long_run"),
    "first_arrows": ("first_arrows", "long_run"),
    "first_arrows_of_kinds": ("first_arrows", "long_run_of_kinds"),
    "kinds": ("kinds", "long_run"),
    "mountings": ("mountings", "long_run"),
    "plans": ("plans", "long_run"),
    "reassemblies": ("reassemblies", "long_run"),
    "seeds": ("contradictions", "long_run_of_seeds"),
    "seasons": ("seasons", "long_run"),
    "sets": ("sets", "long_run"),
    "slips": ("slips", "long_run"),
    "tapes": ("tapes", "long_run"),
    "windage": ("windage", "long_run"),
}


def commit() -> str:
    """Name of what is checked out; SystemExit if it has none."""

    def git(*words):
        return subprocess.check_output(["git", "-C", str(ROOT), *words], text=True)

    changed = git("status", "--porcelain", "src", "tests")
    if changed:
        sys.exit(f"Commit first; nobody could tell what was simulated:\n{changed}")
    return git("rev-parse", "--short=10", "HEAD").strip()


def simulate(name: str) -> None:
    """Run one and keep what it found, bounds and processor time with it."""
    sys.path[:0] = [str(ROOT / "tests" / "support"), str(ROOT / "tests" / "outside")]
    os.environ["PYTHONPATH"] = os.pathsep.join(sys.path[:2])
    room, function = LONG_RUNS[name]
    long_run = getattr(importlib.import_module(f"test_against_simulated_{room}"), function)
    made_at, lines, faults = commit(), [], []

    def enter(what, against, cases, worst, allowed, unit):
        lines.append(
            {"what": what, "against": f"{against}, at {made_at}", "cases": int(cases),
             "worst": float(worst), "allowed": float(allowed), "unit": unit}
        )  # fmt: skip
        print(f"{what}: {worst:.3g} {unit}, allowed {allowed:g}", flush=True)
        if worst > allowed:
            faults.append(what)

    start = time.monotonic()
    long_run(enter)
    spent = time.monotonic() - start
    if faults:
        sys.exit("Not kept, for it is not allowed: " + "; ".join(faults))
    KEPT.mkdir(exist_ok=True)
    kept = {"heading": f"simulated_{room}", "commit": made_at, "minutes": round(spent / 60, 1)}
    text = json.dumps(kept | {"lines": lines}, indent=1, ensure_ascii=False)
    (KEPT / f"{name}.json").write_text(text + "\n", encoding="utf-8")


def main() -> None:
    """List or run."""
    wish = argparse.ArgumentParser(description="the longest simulations of tests/outside")
    wish.add_argument("name", nargs="*", choices=[*LONG_RUNS, []], help=", ".join(LONG_RUNS))
    names = wish.parse_args().name
    if not names:
        print(*LONG_RUNS, sep="\n")
    for name in names:
        simulate(name)


if __name__ == "__main__":
    main()
