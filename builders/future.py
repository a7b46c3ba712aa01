"""Future: newer wheels of all that a lock names, made up, to set up beside the real ones.

    python3 builders/future.py FOLDER          writes one for each package of locks/dev.lock
    PIP_FIND_LINKS=FOLDER ./run --help         sets up while they lie there
    .venv/bin/python builders/future.py        tells what is not installed as locked

Holds:  empty wheels of version 9999; the comparison of .venv with the locks.
Never:  a package that works.
"""

import re
import sys
from importlib.metadata import distributions
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT / "tests" / "support"))
from wheels import write_wheel  # noqa: E402 — lies with the tests

LOCKED = re.compile(r"^([A-Za-z0-9._-]+)==([^ ]+)", re.MULTILINE)
APART = re.compile(r"[-_.]+")


def main() -> int:
    """Write wheels, or compare."""
    locked = LOCKED.findall((ROOT / "locks" / "dev.lock").read_text(encoding="utf-8"))
    if len(sys.argv) > 1:
        for name in {APART.sub("_", name) for name, _ in locked}:
            write_wheel(Path(sys.argv[1]), name, "9999")
        return 0
    known = {(APART.sub("-", name).lower(), version) for name, version in locked}
    found = {(APART.sub("-", one.name).lower(), one.version) for one in distributions()}
    others = [one for one in found - known if one[0] != "tapewright"]
    print(f"{len(found)} packages installed, not as locked: {others or 'none'}")
    return 1 if others else 0


if __name__ == "__main__":
    sys.exit(main())
