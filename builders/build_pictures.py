"""Build the documents' pictures from today's program; ``--check`` only compares.

``python builders/build_pictures.py`` shows the invented sample rig on a phone, as the notebook
serves it, and its PDFs as pixels.  A screen is stale when the words of its page (numbers aside) or
the style are others than those it was made from, which ``made_from.json`` remembers; a print when
today's looks otherwise.  A picture that would look the same is left as it is.

Holds:  which pages and prints are shown, how they are made and when they are stale.
Never:  a picture drawn by hand; anybody's real bow.
"""

import contextlib
import hashlib
import html
import io
import json
import re
import shlex
import subprocess
import sys
import tempfile
import urllib.request
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path

from PIL import Image, ImageChops, ImageStat

from tapewright.faces.cli.commands import main as program

HOUSE = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(HOUSE / "tests" / "support"))
from browser import PHONE, open_browser  # noqa: E402 — only now it can be found
from live import Live  # noqa: E402

PICTURES = HOUSE / "docs" / "pictures"
SUMS = PICTURES / "made_from.json"
STYLE = HOUSE / "src/tapewright/faces/web/static/style.css"
WAIT_S = 120
HARDLY = 1.5  # of 255, mean over a picture: another date, or letters laid half a pixel aside
GROUP = {
    "distance": "60", "reading": "46", "right-1": "0.6", "up-1": "-1.2", "right-2": "1.9",
    "up-2": "-0.4", "right-3": "1.1", "up-3": "-2.3", "right-4": "2.4", "up-4": "-1.6",
}  # fmt: skip


@dataclass(frozen=True)
class Screen:
    """A page on a phone: its address, what is typed, where it is scrolled to, how high it is."""

    address: str
    typed: dict[str, str] | None = None
    at: str = ""
    high: int = PHONE["height"]


@dataclass(frozen=True)
class Print:
    """A print: what is typed, which page of it, how fine; cut in mm: left, top, width, height."""

    typed: str
    dpi: int
    page: int = 1
    cut_mm: tuple[float, float, float, float] | None = None


SCREENS = {
    "phone-first": Screen("/"),
    "phone-rig": Screen("/rigs/RIG"),
    "phone-group": Screen("/rigs/RIG/groups/new", GROUP, "#target, .target, form"),
    "phone-turn": Screen("/rigs/RIG/groups/GROUP"),
    "phone-marks": Screen("/rigs/RIG/marks"),
    "phone-tape": Screen("/rigs/RIG/tape", None, "#preview"),
    "phone-slopes": Screen("/rigs/RIG/ask/slopes"),
}
PRINTS = {
    "sheet": Print("tape mybow.toml shots.csv", 80),
    "strip": Print("tape mybow.toml shots.csv", 220, cut_mm=(34.1, 26.1, 23.9, 121.5)),
    "steps": Print("tape mybow.toml shots.csv", 130, cut_mm=(8, 150, 76, 106)),
    "gauge": Print("gauge mybow.toml", 150, cut_mm=(10, 27, 66, 98)),
    "target": Print('target mybow.toml --distance "20 yd"', 60),
}
DRAWINGS = HOUSE / "src/tapewright/faces/web/templates/drawings"
INK = (
    "<style>svg{background:#fdfcf6;color:#222}text{font:600 13px system-ui,'DejaVu Sans',"
    "sans-serif;fill:#444}.measured{fill:#0f4c45;font-size:14px}.measure{fill:none;stroke:#0f4c45;"
    "stroke-width:1.5}.tip{fill:#0f4c45;stroke:none}</style>"
)


def printed(folder: Path, typed: str, made: dict[str, Path]) -> Path:
    """The PDF that a command prints; what was typed before is there already."""
    if typed not in made:
        made[typed] = folder / f"print-{len(made)}"
        words = [*shlex.split(typed), "--out", str(made[typed])]
        with contextlib.chdir(folder):
            program.main(words, standalone_mode=False)
    return made[typed].with_suffix(".pdf")


def pixels(pdf: Path, what: Print) -> Image.Image:
    """A print, or what is cut out of it."""
    page, dpi = str(what.page), str(what.dpi)
    ppm = subprocess.run(
        ["pdftoppm", "-gray", "-r", dpi, "-f", page, "-l", page, pdf],
        check=True,
        capture_output=True,
    ).stdout
    found = Image.open(io.BytesIO(ppm))
    if what.cut_mm:
        left, top, wide, high = (round(one / 25.4 * what.dpi) for one in what.cut_mm)
        found = found.crop((left, top, left + wide, top + high))
    return found


def fetched(address: str) -> str:
    """What an address of our own answers."""
    with urllib.request.urlopen(address, timeout=WAIT_S) as page:  # noqa: S310 — our own
        return str(page.read().decode())


def words_of(address: str) -> str:
    """What a page says, numbers aside, and the style it is shown in, as one sum."""
    text = re.sub(
        r"<(script|style|svg)\b.*?</\1>|<!--.*?-->|<[^>]*>", " ", fetched(address), flags=re.DOTALL
    )
    words = re.sub(r"[\d.,−+-]+", "#", html.unescape(text)).split()
    return hashlib.sha256(" ".join(words).encode() + STYLE.read_bytes()).hexdigest()[:16]


class Served:
    """The notebook with the sample rig, as its pages are asked for."""

    def __init__(self, live: Live) -> None:
        self.live = live
        asked = urllib.request.Request(f"{live.home}/sample", b"", {"Origin": live.home})  # noqa: S310 — our own
        with urllib.request.urlopen(asked, timeout=WAIT_S) as page:  # noqa: S310 — our own
            self.rig = page.url.rpartition("/")[2].partition("?")[0]
        groups = json.loads(fetched(f"{live.home}/api/rigs/{self.rig}/groups"))
        self.group = groups[-1]["id"]

    def address(self, one: Screen) -> str:
        """Where a page is."""
        return self.live.home + one.address.replace("RIG", self.rig).replace("GROUP", self.group)


def looks_alike(name: str, fresh: Image.Image) -> bool:
    """Whether the picture that is there shows the same."""
    there = next(PICTURES.glob(f"{name}.*"), None)
    if there is None:
        return False
    old, new = Image.open(there).convert("L"), fresh.convert("L")
    if abs(old.width - new.width) + abs(old.height - new.height):
        return False
    return ImageStat.Stat(ImageChops.difference(old, new)).mean[0] < HARDLY


def shoot(address: str, one: Screen, browser) -> Image.Image:
    """A page as the phone shows it."""
    context = browser.new_context(
        viewport=PHONE | {"height": one.high}, device_scale_factor=1.5, has_touch=True,
        reduced_motion="reduce", service_workers="block", locale="en-GB",
    )  # fmt: skip
    page = context.new_page()
    page.goto(address, wait_until="networkidle", timeout=120_000)
    for name, value in (one.typed or {}).items():
        field = page.locator(f"[name='{name}']")
        if not field.is_visible():
            page.evaluate(
                "document.querySelectorAll('details').forEach((one) => { one.open = true; })"
            )
        if not field.count():
            page.locator("#add").click()
        field.fill(value)
    page.wait_for_timeout(1500)
    if one.at:
        page.locator(one.at).first.evaluate("(one) => one.scrollIntoView()")
    shot = page.screenshot()
    context.close()
    return Image.open(io.BytesIO(shot)).convert("RGB")


def screens(folder: Path, sums: dict[str, str], *, check: bool) -> list[str]:
    """Names of screens that are stale; unless it is only a check they are made anew."""
    stale = []
    live = Live(folder)
    with live.serve():
        first = SCREENS["phone-first"]
        found = {"phone-first": words_of(f"{live.home}{first.address}")}
        images = {}
        if not check:
            with open_browser() as browser:
                images["phone-first"] = shoot(f"{live.home}/", first, browser)
        served = Served(live)
        rest = {name: one for name, one in SCREENS.items() if name != "phone-first"}
        found |= {name: words_of(served.address(one)) for name, one in rest.items()}
        if not check:
            with open_browser() as browser:
                images |= {
                    name: shoot(served.address(one), one, browser) for name, one in rest.items()
                }
    for name, made_from in found.items():
        if sums.get(name) != made_from or not (PICTURES / f"{name}.webp").exists():
            stale.append(name)
        if not check and not looks_alike(name, images[name]):
            images[name].save(PICTURES / f"{name}.webp", quality=70, method=6)
    sums |= found
    return stale


def prints(folder: Path, *, check: bool) -> list[str]:
    """Names of prints that are stale; unless it is only a check they are made anew."""
    sample = files("tapewright.faces") / "sample"
    for name, there in (("mybow.toml", "heron.toml"), ("shots.csv", "heron-shots.csv")):
        (folder / name).write_text((sample / there).read_text(encoding="utf-8"), encoding="utf-8")
    stale: list[str] = []
    made: dict[str, Path] = {}
    for name, what in PRINTS.items():
        with contextlib.redirect_stdout(io.StringIO()):
            fresh = pixels(printed(folder, what.typed, made), what)
        if looks_alike(name, fresh):
            continue
        stale.append(name)
        if not check:
            fresh.quantize(16).save(PICTURES / f"{name}.png", optimize=True)
    return stale


def drawings(*, check: bool) -> list[str]:
    """What the form of a rig sheet draws, each as a file that stands alone."""
    stale = []
    for drawing in sorted(DRAWINGS.glob("*.svg")):
        told = PICTURES / f"measure-{drawing.name}"
        first, _, rest = drawing.read_text(encoding="utf-8").partition(">")
        named = first.replace("<svg", '<svg xmlns="http://www.w3.org/2000/svg"', 1)
        fresh = f"{named}>{INK}{rest}"
        if not told.exists() or told.read_text(encoding="utf-8") != fresh:
            stale.append(told.stem)
            if not check:
                told.write_text(fresh, encoding="utf-8")
    return stale


def main() -> int:
    """Write or check."""
    check = "--check" in sys.argv
    sums = json.loads(SUMS.read_text(encoding="utf-8")) if SUMS.exists() else {}
    with tempfile.TemporaryDirectory() as folder:
        stale = drawings(check=check) + prints(Path(folder), check=check)
        stale += screens(Path(folder), sums, check=check)
    if not check:
        SUMS.write_text(json.dumps(sums, indent=1, sort_keys=True) + "\n", encoding="utf-8")
        return 0
    if stale:
        print(f"Pictures of docs/ show an older program: {', '.join(stale)}.")
        print("python builders/build_pictures.py makes them anew.")
    return bool(stale)


if __name__ == "__main__":
    sys.exit(main())
