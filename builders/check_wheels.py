"""Check wheels: is there one for every entry of the locks, for machines that we do not own?

    python3 builders/check_wheels.py                    every lock, machine and Python
    python3 builders/check_wheels.py --python 3.11 --lock run

pip is asked as it is set up here, for each machine and Python as if it ran there; nothing is
installed. Where a wheel is missing somebody would have to compile. A lock's condition on the system
is answered for that system: pip would answer it for this one, as it would hold which Pythons a
package asks for against the one that runs it (the locks were made with all of them in mind).

Holds:  machines by what pip calls them; the question; the table.
Never:  whether a wheel works there: it is not run.
"""

import argparse
import re
import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

try:
    from pip._vendor.packaging.markers import Marker  # what pip itself reads conditions with
except ModuleNotFoundError:
    sys.exit(f"{sys.executable} has no pip. Take one that has it, such as /usr/bin/python3.")

ROOT = Path(__file__).resolve().parents[1]
GLIBC = range(36, 16, -1)  # up to that of Debian 12
MACHINES = {  # what pip calls it; what Python says there of its system
    "Windows x86-64": (["win_amd64"], "win32", "AMD64"),
    "macOS ARM": (["macosx_14_0_arm64"], "darwin", "arm64"),
    "macOS x86-64": (["macosx_14_0_x86_64"], "darwin", "x86_64"),
    "Linux ARM": ([*(f"manylinux_2_{minor}_aarch64" for minor in GLIBC), "manylinux2014_aarch64"],
                  "linux", "aarch64"),
    "Linux x86-64": ([*(f"manylinux_2_{minor}_x86_64" for minor in GLIBC), "manylinux2014_x86_64"],
                     "linux", "x86_64"),
}  # fmt: skip
PYTHONS = ("3.11", "3.12", "3.13", "3.14")
NONE = re.compile(r"No matching distribution found for ([\w.-]+)==(\S+)")


def entries(lock, python, system, processor):
    """Entries of a lock that a machine takes, by name, each as pip reads it without a condition."""
    there = {
        "python_version": python, "python_full_version": f"{python}.0", "sys_platform": system,
        "platform_machine": processor, "implementation_name": "cpython",
        "platform_python_implementation": "CPython",
        "os_name": "nt" if system == "win32" else "posix",
        "platform_system": {"win32": "Windows", "darwin": "Darwin", "linux": "Linux"}[system],
    }  # fmt: skip
    found = {}
    for block in re.split(r"\n(?=[a-z0-9])", lock.read_text(encoding="utf-8").strip()):
        head, _, hashes = block.partition("\n")
        what, _, when = head.rstrip("\\ ").partition(" ; ")
        if not when or Marker(when).evaluate(there):
            found[what.partition("==")[0]] = f"{what} \\\n{hashes}\n"
    return found


def missing(wanted, platforms, python):
    """Entries that have no wheel there; pip names one at a time."""
    left, gone = dict(wanted), []
    with TemporaryDirectory() as folder:
        asked = Path(folder) / "asked.txt"
        while left:
            asked.write_text("".join(left.values()), encoding="utf-8")
            words = [word for one in platforms for word in ("--platform", one)]
            done = subprocess.run(
                [sys.executable, "-m", "pip", "install", "--dry-run", "--ignore-installed",
                 "--no-deps", "--require-hashes", "--only-binary", ":all:", "--quiet",
                 "--disable-pip-version-check", "--implementation", "cp",
                 "--ignore-requires-python", "--python-version", python,
                 "--target", str(Path(folder) / "none"), *words, "-r", str(asked)],
                capture_output=True, text=True, check=False, timeout=1800,
            )  # fmt: skip
            if done.returncode == 0:
                break
            named = NONE.search(done.stderr)
            if named is None or named[1] not in left:
                raise SystemExit(f"pip said something else: {done.stderr[-2000:]}")
            gone.append(f"{named[1]} {named[2]}")
            del left[named[1]]
    return gone


def main():
    """Ask for all of it, and say what is missing."""
    wanted = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    wanted.add_argument("--python", action="append", choices=PYTHONS)
    wanted.add_argument("--lock", action="append", help="Such as run or with-photo.")
    asked = wanted.parse_args()
    locks = asked.lock or ["run", *sorted(one.stem for one in (ROOT / "locks").glob("with-*.lock"))]
    for machine, (platforms, system, processor) in MACHINES.items():
        for python in asked.python or PYTHONS:
            wanted = {}
            for lock in locks:
                wanted |= entries(ROOT / "locks" / f"{lock}.lock", python, system, processor)
            gone = missing(wanted, platforms, python)
            told = f"none for {', '.join(gone)}" if gone else "a wheel for each"
            print(f"{machine}, Python {python}: {len(wanted)} packages; {told}", flush=True)


if __name__ == "__main__":
    main()
