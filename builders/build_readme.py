"""Build the README's run and pictures from the program itself; ``--check`` only compares.

Holds:  the demo's output between two markers, numbers compared as numbers.
Never:  text written by hand.
"""

import re
import subprocess
import sys
import tempfile
from pathlib import Path

README = Path("README.md")
PICTURES = Path("docs/pictures")
BEGIN, END = "<!-- run -->\n", "<!-- /run -->"
NUMBER = re.compile(r"\d+(?:\.\d+)?")


def demo(folder: str) -> str:
    """Run the demo in a folder and return what it prints."""
    done = subprocess.run(
        [sys.executable, "-m", "tapewright", "demo"],
        cwd=folder,
        check=True,
        capture_output=True,
        text=True,
    )
    return done.stdout


def pictures(folder: str) -> None:
    """The sheet and its middle strip as small pictures."""
    pdf = str(Path(folder) / "tapewright-demo" / "heron-tape.pdf")

    def png(name: str, dpi: int, *crop: str) -> None:
        target = str(PICTURES / name)
        subprocess.run(
            ["pdftocairo", "-png", "-gray", "-singlefile", "-r", str(dpi), *crop, pdf, target],
            check=True,
        )

    PICTURES.mkdir(exist_ok=True)
    png("sheet", 90)
    png("strip", 220, "-x", "295", "-y", "226", "-W", "188", "-H", "1052")


def same(told: str, printed: str) -> bool:
    """Whether two runs agree: same words, numbers to 2 % or three of the last digit."""
    if NUMBER.sub("#", told).split() != NUMBER.sub("#", printed).split():
        return False
    for one, other in zip(NUMBER.findall(told), NUMBER.findall(printed), strict=True):
        last = 10.0 ** -len(one.partition(".")[2])
        if abs(float(one) - float(other)) > max(3 * last, 0.02 * float(one)):
            return False
    return True


def main() -> int:
    """Write or check."""
    text = README.read_text(encoding="utf-8")
    before, rest = text.split(BEGIN)
    told, after = rest.split(END)
    with tempfile.TemporaryDirectory() as folder:
        printed = f"```\n$ ./run\n{demo(folder)}```\n"
        if "--check" in sys.argv:
            if same(_steady(told), _steady(printed)):
                return 0
            print("README.md shows another run than the program's: python builders/build_readme.py")
            return 1
        README.write_text(before + BEGIN + printed + END + after, encoding="utf-8")
        pictures(folder)
    return 0


def _steady(text: str) -> str:
    """Without what may differ from machine to machine: fingerprint and size of the sample."""
    return re.sub(r"Calibration \w+: .*", "", text)


sys.exit(main())
