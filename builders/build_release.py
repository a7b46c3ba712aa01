"""Build a release: wheel and source of what is committed, the same bytes whoever builds them.

    python builders/build_release.py FOLDER            both, and their sums
    python builders/build_release.py FOLDER --twice    a second time elsewhere, and compared
    python builders/build_release.py --number 0.2.0 --day 2031-04-05

With --number the source is made ready: the version, and the head of its section in CHANGELOG.md.
What is built is what `git archive` gives of HEAD, in a fresh folder; every time in it is that of
the last commit (SOURCE_DATE_EPOCH, unless it is set already).

Holds:  the steps, the sums.
Never:  signing, sending anywhere.
"""

import argparse
import hashlib
import os
import re
import subprocess
import sys
import tarfile
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory

ROOT = Path(__file__).resolve().parents[1]
VERSION = ROOT / "src" / "tapewright" / "__init__.py"
CHANGES = ROOT / "CHANGELOG.md"


def git(*words):
    """What git says of this source."""
    return subprocess.run(["git", *words], cwd=ROOT, check=True, capture_output=True).stdout


def build(out, epoch, source=None):
    """Wheel and source in a folder; their sums by name."""
    with TemporaryDirectory(prefix="release-") as made:
        folder = Path(made) / "source"
        with tarfile.open(fileobj=BytesIO(source or git("archive", "HEAD"))) as packed:
            packed.extractall(folder, filter="data")
        subprocess.run(
            [sys.executable, "-m", "hatchling", "build", "-d", str(out)],
            cwd=folder, check=True, stdout=subprocess.DEVNULL,
            env=os.environ | {"SOURCE_DATE_EPOCH": epoch},
        )  # fmt: skip
    return {one.name: hashlib.sha256(one.read_bytes()).hexdigest()
            for one in sorted(out.iterdir()) if one.suffix in {".whl", ".gz"}}  # fmt: skip


def differing(first, second):
    """Names of what two builds made otherwise."""
    return sorted(name for name in first | second if first.get(name) != second.get(name))


def make_ready(number, day, version=VERSION, changes=CHANGES):
    """Write the version, and the day behind it in the changelog."""
    text = version.read_text(encoding="utf-8")
    version.write_text(
        re.sub(r'__version__ = ".*"', f'__version__ = "{number}"', text), encoding="utf-8"
    )
    text = changes.read_text(encoding="utf-8")
    head = f"## {number} (unreleased)\n"
    if text.count(head) != 1:
        raise SystemExit(f"CHANGELOG.md has no section headed “{head.strip()}”.")
    changes.write_text(text.replace(head, f"## {number} ({day})\n"), encoding="utf-8")


def main():
    """Build it, or make the source ready."""
    wanted = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    wanted.add_argument("folder", type=Path, nargs="?")
    wanted.add_argument("--twice", action="store_true")
    wanted.add_argument("--number")
    wanted.add_argument("--day")
    asked = wanted.parse_args()
    if asked.number:
        if not re.fullmatch(r"\d{4}-\d\d-\d\d", asked.day or ""):
            raise SystemExit("Say the day of the release: --day 2031-04-05")
        return make_ready(asked.number, asked.day)
    if asked.folder is None:
        raise SystemExit("Name a folder to build into.")
    epoch = os.environ.get("SOURCE_DATE_EPOCH") or git("log", "-1", "--format=%ct").decode().strip()
    out = asked.folder.resolve()
    sums = build(out, epoch)
    (out / "SHA256SUMS").write_text(
        "".join(f"{told}  {name}\n" for name, told in sums.items()), encoding="utf-8"
    )
    print("".join(f"{told}  {name}\n" for name, told in sums.items()), end="")
    if asked.twice:
        with TemporaryDirectory() as other:
            again = build(Path(other), epoch)
        if wrong := differing(sums, again):
            raise SystemExit(f"Not the same twice: {', '.join(wrong)}")
        print("The same twice, bit for bit.")
    return None


if __name__ == "__main__":
    main()
