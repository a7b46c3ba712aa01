"""Count first use: taps and page loads from an unboxed bow to a printed tape, listed.

``python builders/count_first_use.py`` lets somebody follow what the pages offer first, on a phone's
screen, shooting a bow whose truth only the simulation knows.

Holds:  the count and the list, for three bows.
Never:  a limit (tests/journeys/web/test_first_use.py).
"""

import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "support"))
from browser import open_browser
from first_use import first_use
from live import Live, visit

BOWS = (1, 2, 3)


def main():
    """Follow each, and tell."""
    with (
        tempfile.TemporaryDirectory() as folder,
        Live(Path(folder)).serve() as live,
        open_browser() as browser,
    ):
        for seed in BOWS:
            live.empty()
            with visit(browser, live.home) as page:
                seen, groups = first_use(page, seed)
            told = f"{len(seen.taps)} taps and {len(seen.loads)} page loads"
            print(f"Bow {seed}: {told}; {len(groups)} groups to {groups[-1][0]:.0f} yd.")
        print("Taps of the last:", *seen.taps, sep="\n  ")
        print("Beside them, safety questions and groups kept:", *seen.free, sep="\n  ")
        pages = (one.removeprefix(live.home).partition("?")[0] for one in seen.loads)
        print("Pages:", *pages, sep="\n  ")


if __name__ == "__main__":
    main()
