"""Fuzz files: wrong and hostile files go through the doors of files, and what it costs is counted.

Each input is a sound file of a kind, changed at random: bytes flipped, cut, doubled, joined with
another kind; or lines, keys, values and digits exchanged, some for what breaks readers.  Every
input goes through the readers that commands and pages use; an archive that is taken goes into a
notebook, too, and its rigs are read.  Nothing but an error of our own may come out, in a second
of processor and 300 MB.

    python builders/fuzz_files.py --count 100000 --shards 2 --seed 1 [--kind sheet]

Holds:  mutations, doors, counts.
Never:  whole calibrations, but for a sample of what passes.
"""

import argparse
import json
import multiprocessing
import random
import resource
import tempfile
import time
import traceback
from collections.abc import Callable
from contextlib import suppress
from hashlib import sha256
from pathlib import Path

from tapewright.faces.kept_rigs import kept_rig
from tapewright.ground.errors import BadRigSheet, BadShots, TapewrightError
from tapewright.reading.rig_sheet import load_rig_sheet, read_rig_sheet
from tapewright.reading.sheet_form_lines import examined_sheet, has_comments, sheet_values
from tapewright.reading.shots_reader import load_shots
from tapewright.reading.strip_side_click_tables import read_side_groups, read_strips, read_turned
from tapewright.reading.text_file import decode_text, load_text
from tapewright.services.calibrate import calibrate
from tapewright.services.keep import open_notebook
from tapewright.services.move_notebook import load_archive, take_in
from tapewright.storage.plain import canonical
from tapewright.words.quantity_parser import read_distances

ROOT = Path(__file__).resolve().parents[1]
SAMPLE = ROOT / "src" / "tapewright" / "faces" / "sample"
MOST_S, MOST_MB = 1.0, 300.0
YARD_M = 0.9144
FITS = 2  # whole calibrations of a kind, of a share of a thousand inputs
SHEET = (SAMPLE / "heron.toml").read_bytes()
SHOTS = (SAMPLE / "heron-shots.csv").read_bytes()
SEEDS: dict[str, list[bytes]] = {
    "sheet": [SHEET, b'name = "x"\n[arrow]\nmass = "420 gr"\nshaft_diameter = "6 mm"\n'],
    "shots": [SHOTS, b"group,distance_yd,reading_mm,right_in,up_in\na,20,10,1,2\nb,60,35,0,1\n"],
    "strips": [b"strip,distance_yd,position_mm\n1,20,0\n1,60,30\n2,20,0\n2,60,31\n"],
    "sides": [b"distance_yd,slope_deg,right_in,arrows\n20,0,1,3\n40,20,2,3\n"],
    "turned": [b"group,distance_yd,clicks,up_in\na,20,0,1\nb,20,10,3\n"],
    "archive": [(ROOT / "tests" / "storage" / "kept" / "archive-1.json").read_bytes()],
    "distances": [b"10:125:5yd", b"20,30,40 m", b"18,5;20,5 m"],
}
ODD = [
    b"", b"\x00", b"\xff", b"\xef\xbb\xbf", b"\r", b"\n\n", b"\t", b'"', b"'", b'"""', b"'''",
    b"[", b"]", b"[[", b"{", b"}", b"=", b".", b",", b";", b"#", b":", b"\\", b"\\u0000",
    b"-", b"1e309", b"-1e999", b"1e-320", b"nan", b"inf", b"-inf", b"1_000", b"0x" + b"f" * 4000,
    b"9" * 5000, b"1.7976931348623157e308", b"5e-324", b"-0", b"true", b"null", b"[]", b"{}",
    "½".encode(), "٣".encode(), "１".encode(), "\u202e".encode(), "\u2028".encode(), "🏹".encode(),
    "é".encode(), "e\u0301".encode(), "±".encode(), b"x" * 9000, b"a." * 60, b"[" * 60, b"{a=" * 60,
    b"1979-05-27T07:32:00Z", b"07:32:00", b'"6 mm"', b'"420 gr"', b"20 yd", b"bad: x", b"\\ud800",
]  # fmt: skip


def mutated(chance: random.Random, kind: str) -> bytes:
    """A file of a kind with one to six accidents.

    Parameters
    ----------
    chance : Random
        Where they come from.
    kind : str
        Of SEEDS.

    Returns
    -------
    bytes
        The file.
    """
    content = chance.choice(SEEDS[kind])
    if kind == "archive" and chance.random() < 0.7:
        return _forged(chance, content)
    for _ in range(chance.choice((1, 1, 1, 2, 3, 6))):
        content = chance.choice(ACCIDENTS)(chance, content)
    if chance.random() < 0.02:
        other = chance.choice(SEEDS[chance.choice(list(SEEDS))])
        content = chance.choice((content + other, other))
    return content[:2_000_000]


def _flipped(chance: random.Random, content: bytes) -> bytes:
    if not content:
        return content
    at = chance.randrange(len(content))
    return content[:at] + bytes([chance.randrange(256)]) + content[at + 1 :]


def _put_in(chance: random.Random, content: bytes) -> bytes:
    at = chance.randint(0, len(content))
    return content[:at] + chance.choice(ODD) + content[at + chance.choice((0, 1, 5)) :]


def _cut(chance: random.Random, content: bytes) -> bytes:
    start, end = sorted(chance.choices(range(len(content) + 1), k=2))
    return chance.choice((content[:start], content[start:], content[:start] + content[end:]))


def _doubled(chance: random.Random, content: bytes) -> bytes:
    start, end = sorted(chance.choices(range(len(content) + 1), k=2))
    end = min(end, start + 400)
    return content[:end] + content[start:end] * chance.choice((1, 2, 50, 400)) + content[end:]


def _lines_mixed(chance: random.Random, content: bytes) -> bytes:
    lines = content.split(b"\n")
    for _ in range(chance.choice((1, 3))):
        one, other = chance.randrange(len(lines)), chance.randrange(len(lines))
        lines[one], lines[other] = lines[other], chance.choice((lines[one], lines[other]))
    return chance.choice((b"\n", b"\r\n", b"\r")).join(lines)


def _value(chance: random.Random, content: bytes) -> bytes:
    """One cell, or what stands behind one =, becomes something else."""
    lines = content.split(b"\n")
    at = chance.randrange(len(lines))
    sign = b"=" if b"=" in lines[at] else b","
    cells = lines[at].split(sign)
    cells[chance.randrange(len(cells))] = chance.choice(ODD)
    lines[at] = sign.join(cells)
    return b"\n".join(lines)


def _digit(chance: random.Random, content: bytes) -> bytes:
    """A digit becomes another: most such files are read."""
    places = [at for at, one in enumerate(content) if 48 <= one < 58]
    if not places:
        return content
    at = chance.choice(places)
    return content[:at] + str(chance.randrange(10)).encode() + content[at + 1 :]


ACCIDENTS: tuple[Callable[[random.Random, bytes], bytes], ...] = (
    _flipped, _put_in, _put_in, _cut, _doubled, _lines_mixed, _value, _value,
    _digit, _digit, _digit, _digit,
)  # fmt: skip


def _forged(chance: random.Random, content: bytes) -> bytes:
    """An archive with values exchanged by somebody who knows its check."""
    whole = json.loads(content)
    for _ in range(chance.choice((1, 1, 2, 4))):
        inner, step = whole["entries"], chance.randrange(len(whole["entries"]))
        while isinstance(inner[step], dict | list) and inner[step] and chance.random() < 0.9:
            inner = inner[step]
            step = chance.choice(list(inner) if isinstance(inner, dict) else range(len(inner)))
        if step == "sheet":
            inner[step] = mutated(chance, "sheet").decode(errors="replace")
        else:
            inner[step] = chance.choice(
                (None, True, 0, -1, 2**70, 0.5, -1e308, 1e-320, "", "x" * 3000, [], {}, [[]],
                 "\u0000", chance.choice(ODD).decode(errors="replace"), 10**6, 1e9)
            )  # fmt: skip
    with suppress(ValueError):
        whole["check"] = sha256(canonical(whole["entries"]).encode()).hexdigest()
    return json.dumps(whole).encode()


def through_doors(kind: str, path: Path, content: bytes) -> Callable[[], object] | None:
    """Read a file as commands and pages do.

    Parameters
    ----------
    kind : str
        Of SEEDS.
    path : Path
        Where the file is.
    content : bytes
        The same.

    Returns
    -------
    callable or None
        A whole calibration of what passed; None: there is nothing to calibrate.

    Raises
    ------
    TapewrightError
        If the file is refused.
    """
    if kind == "sheet":
        text = decode_text(content, "sheet", BadRigSheet)
        examined_sheet(
            {"name": text[:200], "arrow.mass": text[-80:], "bow.chronograph[1].at": text}
        )
        rig, _ = load_rig_sheet(path)
        sheet_values(text)
        has_comments(text)
        return lambda: calibrate(rig, (), [20 * YARD_M, 60 * YARD_M], [20 * YARD_M], 1)
    if kind == "shots":
        bow, _ = read_rig_sheet(SHEET.decode())
        load_shots(path)
        shots, _ = load_shots(path, bow)
        return lambda: calibrate(bow, shots, [20 * YARD_M, 60 * YARD_M], [20 * YARD_M], 1)
    if kind == "distances":
        read_distances(content.decode(errors="replace"), "--distances")
    elif kind == "archive":
        archive = load_archive(path)
        notebook = open_notebook(f"sqlite:///{path.with_suffix('.db')}")
        try:
            take_in(notebook, archive)
            for one in notebook.entries("rig"):
                with suppress(TapewrightError):
                    kept_rig(notebook, one.id)
        finally:
            notebook.close()
            for file in path.parent.glob(f"{path.stem}.db*"):
                file.unlink()
    else:
        text = load_text(path, 4_000_000, BadShots)
        {"strips": read_strips, "sides": read_side_groups, "turned": read_turned}[kind](text)
    return None


def shard(order: tuple[int, int, int, tuple[str, ...]]) -> dict[str, dict[str, float]]:
    """Counts of one share of the inputs.

    Parameters
    ----------
    order : (int, int, int, tuple of str)
        Seed, number of the share, inputs, kinds.

    Returns
    -------
    dict
        By kind: inputs, refused, passed, fitted, tracebacks, slow, the worst second and MB.
    """
    seed, number, count, kinds = order
    chance = random.Random(f"{seed}-{number}")  # noqa: S311 — no secret
    counts = {kind: dict.fromkeys(COLUMNS, 0.0) for kind in kinds}
    with tempfile.TemporaryDirectory() as folder:
        for turn in range(count):
            kind = kinds[turn % len(kinds)]
            content = mutated(chance, kind)
            found = counts[kind]
            found["inputs"] += 1
            path = Path(folder) / f"f{turn}"
            path.write_bytes(content)
            begun = time.process_time()
            try:
                fit = through_doors(kind, path, content)
            except TapewrightError:
                found["refused"] += 1
                fit = None
            except Exception:  # noqa: BLE001 — that is what is counted
                found["tracebacks"] += 1
                fit = None
                _keep(content, kind, traceback.format_exc())
            took = time.process_time() - begun
            found["worst s"] = max(found["worst s"], took)
            if took > MOST_S:
                found["slow"] += 1
                _keep(content, kind, f"{took:.2f} s\n")
            if fit is not None and found["fitted"] < FITS:
                found["fitted"] += 1
                try:
                    fit()
                except TapewrightError:
                    pass
                except Exception:  # noqa: BLE001 — the same
                    found["tracebacks"] += 1
                    _keep(content, kind, traceback.format_exc())
            path.unlink()
            peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
            found["peak MB"] = max(found["peak MB"], peak_mb)
    return counts


COLUMNS = ("inputs", "refused", "fitted", "tracebacks", "slow", "worst s", "peak MB")
WORST = ("worst s", "peak MB")


def _keep(content: bytes, kind: str, told: str) -> None:
    """Put an input that found a fault where somebody can look at it."""
    folder = ROOT / ".fuzz"
    folder.mkdir(exist_ok=True)
    name = f"{kind}-{sha256(content).hexdigest()[:12]}"
    (folder / name).write_bytes(content)
    (folder / f"{name}.txt").write_text(told, encoding="utf-8")


def main() -> None:
    """Share the inputs out, and print a table."""
    wanted = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    wanted.add_argument("--count", type=int, default=1000)
    wanted.add_argument("--shards", type=int, default=2)
    wanted.add_argument("--seed", type=int, default=1)
    wanted.add_argument("--kind", choices=[*SEEDS], action="append")
    said = wanted.parse_args()
    kinds = tuple(said.kind or SEEDS)
    # small shares, so that a process is young and its memory is that of few inputs
    share = min(1000, -(-said.count // said.shards))
    orders = [
        (said.seed, number, min(share, said.count - start), kinds)
        for number, start in enumerate(range(0, said.count, share))
    ]
    total = {kind: dict.fromkeys(COLUMNS, 0.0) for kind in kinds}
    with multiprocessing.get_context("spawn").Pool(said.shards, maxtasksperchild=4) as pool:
        for counts in pool.imap_unordered(shard, orders):
            for kind, found in counts.items():
                for column, number in found.items():
                    before = total[kind][column]
                    total[kind][column] = (
                        max(before, number) if column in WORST else before + number
                    )
            done = sum(one["inputs"] for one in total.values())
            bad = sum(one["tracebacks"] + one["slow"] for one in total.values())
            print(f"{done:.0f} inputs, {bad:.0f} faults", flush=True)
    print(f"| kind | {' | '.join(COLUMNS)} |\n| --- |{' ---: |' * len(COLUMNS)}")
    for kind, found in total.items():
        cells = (
            f"{number:.2f}" if column == "worst s" else f"{number:,.0f}"
            for column, number in found.items()
        )
        print(f"| {kind} | {' | '.join(cells)} |")
    if any(one["tracebacks"] or one["slow"] or one["peak MB"] > MOST_MB for one in total.values()):
        raise SystemExit("Faults were found: see the folder .fuzz")


if __name__ == "__main__":
    main()
