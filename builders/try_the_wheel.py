"""Try the wheel: installed outside the clone as a stranger would, it runs every command.

    python3 builders/try_the_wheel.py FOLDER [PYTHON …]

For each Python (default: those of its name that the PATH has, from 3.11 on) a clean environment
gets the wheel with what it depends on, in the versions of the locks, and from FOLDER every command
of builders/answers/calls.py is typed.  What refuses for want of an optional library names one
command that adds it: that command is typed as it stands, and then what was refused once more.

Holds:  environments, the order of things, the count.
Never:  what is typed (answers/calls.py), numbers (the tests').
"""

import argparse
import json
import os
import re
import shutil
import struct
import subprocess
import sys
import time
import zlib
from pathlib import Path
from urllib.request import urlopen

from answers import calls, rigs

ROOT = Path(__file__).resolve().parents[1]
NEWEST = 20  # minor versions of Python that are looked for
ADDED = re.compile(r"Add it with: (.+)")
# Once their library is there: a call that needs it. PostgreSQL and a cluster are then not reached,
# which is another refusal.
EXTRAS = {
    "engrave": "tape rig.toml shots.csv --format dxf --out cut",
    "pictures": "picture marks rig.toml shots.csv --out marks.png",
    "photo": 'photo image.png --distance "20 yd" --reading 31.2mm --shaft 6mm --size 30x40cm'
             ' --corners "100,100 700,100 700,900 100,900" --out found',
    "shop": "rigs --notebook postgresql://nobody@127.0.0.1:9/none",
    "cluster": "batch many --cluster 127.0.0.1:9 --no-tapes --out cluster",
}  # fmt: skip
# Typed into one process, run by the environment's own Python.
TYPE = """
import json, sys
from click.testing import CliRunner
from tapewright.faces.cli.commands import main
import tapewright
told = []
for words in json.loads(sys.argv[1]):
    done = CliRunner().invoke(main, words)
    fault = done.exception if not isinstance(done.exception, (SystemExit, type(None))) else None
    told.append([words, done.exit_code, done.output, repr(fault) if fault else ""])
print(json.dumps([tapewright.__file__, told]))
"""


def run(*words, **more):
    """Do one step; its fault ends the trial."""
    return subprocess.run([str(one) for one in words], check=True, **more)


def pythons():
    """Every Python here that the program may run on."""
    named = [shutil.which(f"python3.{minor}") for minor in range(11, NEWEST)]
    return [one for one in named if one and subprocess.run(
        [one, "--version"], capture_output=True, check=False).returncode == 0]  # fmt: skip


def wheel_in(folder, python):
    """The wheel of this source, and the versions of the locks."""
    run(python, "-m", "pip", "wheel", "--quiet", "--no-deps", "-w", folder, ROOT)
    text = (ROOT / "locks" / "dev.lock").read_text(encoding="utf-8")
    pins = [line.rstrip("\\ ") for line in text.splitlines() if re.match(r"[a-z0-9]", line)]
    (folder / "versions.txt").write_text("\n".join(pins) + "\n", encoding="utf-8")
    (wheel,) = folder.glob("tapewright-*.whl")
    return wheel


def lay_out(desk):
    """The sample's files and its companions, where they are typed by name."""
    desk.mkdir()
    sample = ROOT / "src" / "tapewright" / "faces" / "sample"
    for name, text in rigs.sample_rig(sample).files.items():
        (desk / name).write_text(text, encoding="utf-8")
    proof = desk / "proof.csv"  # other arrows than those that count already
    text = proof.read_text(encoding="utf-8")
    proof.write_text(re.sub(r"(\.\d\d),", r"\g<1>1,", text), encoding="utf-8")
    (desk / "image.png").write_bytes(white_png(800, 1000))
    (desk / "many").mkdir()
    (desk / "many" / "a.toml").write_text((desk / "rig.toml").read_text("utf-8"), encoding="utf-8")


def white_png(width, height):
    """A grey PNG without a mark."""
    parts = [b"\x89PNG\r\n\x1a\n"]
    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    rows = zlib.compress((b"\0" + bytes([250]) * width) * height)
    for name, body in ((b"IHDR", head), (b"IDAT", rows), (b"IEND", b"")):
        parts += [struct.pack(">I", len(body)), name, body]
        parts.append(struct.pack(">I", zlib.crc32(name + body)))
    return b"".join(parts)


def typed(python, desk, lines, seconds=1800):
    """What came of lines typed one after the other: words, status, text, fault."""
    env = {"HOME": str(desk), "PATH": "/usr/bin:/bin", "TAPEWRIGHT_NOTEBOOK": str(desk / "n.db")}
    done = run(python, "-c", TYPE, json.dumps(lines), cwd=desk, env=env, timeout=seconds,
               stdout=subprocess.PIPE, text=True, stdin=subprocess.DEVNULL)  # fmt: skip
    where, told = json.loads(done.stdout.splitlines()[-1])
    assert not Path(where).is_relative_to(ROOT), f"{where} is not what was installed"
    return told


def every_command(most):
    """So many lines of each command but the one that serves, and all of the notebook."""
    typed_lines = calls.calls_of(calls.SAMPLE)
    names = [name for name in calls.SAMPLE if name != "serve"]
    each = [[words for words in typed_lines if words[0] == name][:most] for name in names]
    return [*(words for some in each for words in some), *calls.notebook_calls()]


def faults(told):
    """Lines that ended in a fault, or with another status than done and refused."""
    return [f"{' '.join(words)}: {status} {fault or text}" for words, status, text, fault in told
            if fault or status not in {0, 2}]  # fmt: skip


def trial(python, wheel, place, most):
    """One Python: base dependencies, each extra, the server."""
    env, desk = place / "env", place / "desk"
    run(python, "-m", "venv", "--clear", env)
    own = env / "bin" / "python"
    pins = wheel.with_name("versions.txt")
    run(own, "-m", "pip", "install", "--quiet", "-c", pins, wheel)
    shutil.rmtree(desk, ignore_errors=True)
    lay_out(desk)
    version = run(own, "-c", "import platform; print(platform.python_version())",
                  stdout=subprocess.PIPE, text=True).stdout.strip()  # fmt: skip
    told = typed(own, desk, every_command(most))
    names = {words[0] for words, *_ in told}
    ran = {words[0] for words, status, *_ in told if status == 0}
    wrong = faults(told)
    print(
        f"Python {version}, base: {len(told)} lines, {len(ran)} of {len(names)} commands done; "
        f"the others: {', '.join(sorted(names - ran)) or 'none'}; faults: {len(wrong)}",
        flush=True,
    )
    wrong += served(own, desk)
    for extra, line in EXTRAS.items():
        wrong += with_extra(
            own, desk, extra, calls.calls_of({line.split()[0]: line.partition(" ")[2]})[0], pins
        )
    return wrong


def with_extra(own, desk, extra, words, pins):
    """What is refused without an extra, the command that adds it, and the same with it."""
    ((_, status, text, fault),) = typed(own, desk, [words])
    found = ADDED.search(text)
    if status != 2 or not found:
        return [f"{extra}: nothing said how it is added: {status} {text} {fault}"]
    before = frozen(own)
    env = {"PATH": "/usr/bin:/bin", "PIP_CONSTRAINT": str(pins), **pip_s_own()}
    run("sh", "-c", found[1], env=env, stdout=subprocess.DEVNULL)
    more = frozen(own) - before
    told = typed(own, desk, [words, *every_command(1)])
    print(
        f"  with {extra} ({found[1].partition('install ')[2]}; {len(more)} packages more): "
        f"{len(told)} lines; then: {told[0][2].strip().splitlines()[-1][:90]}",
        flush=True,
    )
    wrong = faults(told) + [f"{extra} is still missing"] * bool(ADDED.search(told[0][2]))
    run(own, "-m", "pip", "uninstall", "--quiet", "--yes", *sorted(more))
    return wrong


def pip_s_own():
    """How pip is set up here."""
    return {name: told for name, told in os.environ.items() if name.startswith(("PIP_", "SSL_"))}


def frozen(own):
    """Names of what is installed."""
    told = run(
        own, "-m", "pip", "list", "--format", "json", stdout=subprocess.PIPE, text=True
    ).stdout
    return {one["name"] for one in json.loads(told)}


def served(own, desk):
    """The notebook in a browser's place."""
    script = own.with_name("tapewright")
    words = [script, "serve", "--no-browser", "--port", "8667", "--notebook", desk / "n.db"]
    with subprocess.Popen(
        [str(one) for one in words], stdout=subprocess.DEVNULL, cwd=desk
    ) as server:
        try:
            for _ in range(600):
                try:
                    with urlopen("http://127.0.0.1:8667/rigs", timeout=60) as page:
                        return [] if b"Tapewright" in page.read() else ["serve: another page came"]
                except OSError:
                    time.sleep(0.1)
            return ["serve: it never answered"]
        finally:
            server.terminate()


def main():
    """All Pythons, one after the other."""
    wanted = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    wanted.add_argument("folder", type=Path)
    wanted.add_argument("python", nargs="*")
    wanted.add_argument("--lines", type=int, default=1000, help="Of each command, at most.")
    asked = wanted.parse_args()
    folder = asked.folder.resolve()
    if ROOT in (folder, *folder.parents):
        raise SystemExit("Name a folder outside the clone.")
    folder.mkdir(parents=True, exist_ok=True)
    wheel = wheel_in(folder, sys.executable)
    wrong = []
    for number, python in enumerate(asked.python or pythons()):
        place = folder / f"python-{number}"
        place.mkdir(exist_ok=True)
        wrong += trial(python, wheel, place, asked.lines)
    raise SystemExit("\n".join(wrong) or 0)


if __name__ == "__main__":
    main()
