"""Build the program without Python: one folder to be unpacked, opened by a double click.

    python3 builders/build_program.py FOLDER
    python3 builders/build_program.py FOLDER --try TREE     tries it in a bare system, as root

Makes an environment from the locks (and the packer's own, builders/program/packer.lock), packs a
wheel of this source with PyInstaller, puts every licence beside it, and makes one archive.  The
same on Linux, macOS and Windows, for the system it is run on.  TREE is a folder with a Debian that
has no Python (debootstrap --variant=minbase); the program is unpacked there and used.

Holds:  the steps, the licences of what went in, the trial, the sizes.
Never:  which modules go in (builders/program/tapewright.spec).
"""

import argparse
import json
import os
import platform
import re
import shutil
import subprocess
import sys
import sysconfig
import time
from pathlib import Path
from urllib.request import urlopen

from build_licences import PACKED, ROOT, declared

HERE = ROOT / "builders" / "program"
WINDOWS = sys.platform == "win32"
# Run by the environment's Python, which knows the packages: texts of all whose parts went in.
COLLECT = """
import json, sys
from importlib import metadata
from pathlib import Path
sys.path.insert(0, sys.argv[1])
from build_licences import texts_of
went_in = json.loads(Path(sys.argv[2]).read_text(encoding="utf-8"))
tops = {name.partition(".")[0] for name in went_in["modules"]}
own = {top: names for top, names in metadata.packages_distributions().items() if top in tops}
found = {name for names in own.values() for name in names}
files = {Path(one).resolve() for one in went_in["files"]}
for package in metadata.distributions():
    if any(Path(str(one.locate())).resolve() in files for one in package.files or ()):
        found.add(package.name)
for name in sorted({*found, "pyinstaller"}):
    texts = texts_of(metadata.distribution(name))
    if not texts:
        raise SystemExit(f"{name} has no text of its licence with it: nothing is handed on.")
    for file, text in texts.items():
        (Path(sys.argv[3]) / f"{name}--{file}").write_bytes(text)
"""
TRIED = """
cd /root && rm -rf tried && mkdir tried && cd tried
PROGRAM=/opt/tapewright/tapewright
! command -v python3
$PROGRAM --version
$PROGRAM demo
$PROGRAM tape --mark "20 yd = 17.2" --mark "60 yd = 48.5" --format pdf --format dxf
$PROGRAM picture marks tapewright-demo/heron.toml tapewright-demo/heron-shots.csv --out m.png
$PROGRAM import tapewright-demo/heron.toml tapewright-demo/heron-shots.csv
$PROGRAM batch tapewright-demo --workers 2 --no-tapes --out all
ls -l
"""


def run(*words: object, **more: object) -> None:
    """Do one step; its fault ends the build."""
    subprocess.run([str(one) for one in words], check=True, **more)


def environment(folder: Path) -> Path:
    """A fresh environment with just what the locks say, and this source as a wheel."""
    env = folder / "env"
    run(sys.executable, "-m", "venv", "--clear", "--without-pip", env)
    python = env / ("Scripts/python.exe" if WINDOWS else "bin/python")
    pip = (sys.executable, "-m", "pip", "--python", python, "install", "--quiet", "--no-deps")
    locks = [ROOT / "locks" / f"{name}.lock" for name in PACKED]
    wanted = [word for lock in (*locks, HERE / "packer.lock") for word in ("-r", lock)]
    run(*pip, "--require-hashes", "--only-binary", ":all:", *wanted)
    wheels = folder / "wheel"
    shutil.rmtree(wheels, ignore_errors=True)
    run(python, "-m", "hatchling", "build", "-t", "wheel", "-d", wheels, cwd=ROOT)
    run(*pip, *wheels.glob("*.whl"))
    return python


def of_system(file: Path) -> tuple[str, Path] | None:
    """Debian's package that a library of the system is of, and its words on rights."""
    for name in dict.fromkeys(
        (file, file.resolve(), Path(str(file.resolve()).removeprefix("/usr")))
    ):
        told = subprocess.run(["dpkg", "-S", name], capture_output=True, text=True, check=False)
        if told.returncode == 0:
            package = told.stdout.partition(":")[0]
            return package, Path("/usr/share/doc", package, "copyright")
    return None


def licences(python: Path, went_in: Path, out: Path) -> int:
    """Every text on rights of what went in; how many."""
    out.mkdir()
    run(python, "-c", COLLECT, ROOT / "builders", went_in, out)
    for text in declared():
        shutil.copy(ROOT / text, out / f"tapewright--{Path(text).name}")
    own = Path(sysconfig.get_path("stdlib"))
    of_debian = Path("/usr/share/doc", f"python3.{sys.version_info[1]}", "copyright")
    homes = (own, own.parents[1], Path(sys.base_prefix))
    of_python = [*(home / "LICENSE.txt" for home in homes), of_debian]
    shutil.copy(next(one for one in of_python if one.exists()), out / "python--LICENSE.txt")
    ours = (python.parents[1].resolve(), Path(sys.base_prefix).resolve(), ROOT)
    for file in map(Path, json.loads(went_in.read_text(encoding="utf-8"))["files"]):
        if file.suffix not in {".dll", ".dylib"} and not re.search(r"\.so(\.|$)", file.name):
            continue
        if any(file.resolve().is_relative_to(one) for one in ours):
            continue
        found = of_system(file) if shutil.which("dpkg") else None
        text = found[1] if found else HERE / "licences" / f"{file.name.partition('.')[0]}.txt"
        if not text.exists():
            raise SystemExit(f"{file}: what licence is it under? Put its text into {text}.")
        shutil.copy(text, out / f"{found[0] if found else text.stem}--copyright")
    return len(list(out.iterdir()))


def size_mb(folder: Path) -> float:
    """Space that a folder takes. [MB]"""
    return (
        sum(
            one.stat().st_size
            for one in folder.rglob("*")
            if one.is_file() and not one.is_symlink()
        )
        / 1e6
    )


def build(folder: Path) -> Path:
    """All steps; the packed folder."""
    folder.mkdir(parents=True, exist_ok=True)
    python = environment(folder)
    work = folder / "work"
    words = ("--noconfirm", "--log-level", "WARN", "--distpath", folder, "--workpath", work)
    env = os.environ | {"PYTHONHASHSEED": "0"}
    run(python, "-m", "PyInstaller", *words, HERE / "tapewright.spec", env=env)
    packed = folder / "tapewright"
    count = licences(python, work / "tapewright" / "went-in.json", packed / "licences")
    shutil.copy(HERE / "READ-ME.txt", packed)
    (wheel,) = (folder / "wheel").glob("*.whl")
    name = (
        f"tapewright-{wheel.name.split('-')[1]}-{platform.system()}-{platform.machine()}".casefold()
    )
    kind = "zip" if WINDOWS else "gztar"
    archive = Path(shutil.make_archive(str(folder / name), kind, folder, "tapewright"))
    print(f"{packed}: {size_mb(packed):.0f} MB, {count} texts on rights")
    print(f"{archive}: {archive.stat().st_size / 1e6:.0f} MB")
    return packed


def tried(packed: Path, tree: Path) -> None:
    """Use it in a bare system: commands, then the notebook in a browser's place."""
    place = tree / "opt" / "tapewright"
    shutil.rmtree(place, ignore_errors=True)
    shutil.copytree(packed, place, symlinks=True)
    plain = {"PATH": "/usr/sbin:/usr/bin:/sbin:/bin", "HOME": "/root", "TERM": "dumb"}
    run("chroot", tree, "/bin/sh", "-eu", "-c", TRIED, env=plain)
    for words in ([], ["serve", "--no-browser", "--workers", "2", "--port", "8664"]):
        since = time.monotonic()
        server = subprocess.Popen(
            ["chroot", str(tree), "/opt/tapewright/tapewright", *words], env=plain
        )
        try:
            seen = visited(8664 if words else 8640)
            print(f"tapewright {' '.join(words)}: its first page after {seen - since:.1f} s")
        finally:
            server.terminate()
            server.wait(60)


def visited(port: int) -> float:
    """When the list of rigs was there."""
    for _ in range(600):
        try:
            with urlopen(f"http://127.0.0.1:{port}/rigs", timeout=60) as page:
                assert b"Heron" in page.read()
                return time.monotonic()
        except OSError:
            time.sleep(0.1)
    raise SystemExit("It never answered.")


def main() -> None:
    """Build, and try it where that is asked for."""
    wanted = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    wanted.add_argument("folder", type=Path)
    wanted.add_argument(
        "--try", dest="tree", type=Path, help="Folder of a bare Debian, to try it in."
    )
    wanted.add_argument("--built", action="store_true", help="It is built already: only try it.")
    asked = wanted.parse_args()
    folder = asked.folder.resolve()
    packed = folder / "tapewright" if asked.built else build(folder)
    if asked.tree is not None:
        tried(packed, asked.tree.resolve())


if __name__ == "__main__":
    main()
