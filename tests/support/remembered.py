"""Remembered: what was calibrated once in a run of tests is not calibrated again for the next one.

For tests of what is told, printed and kept, which ask the same sample hundreds of times; not for
those of the calibration itself. What one worker calibrated the others read from a file.

Holds:  a function whose answers are kept; the fixture that lets a folder of tests share them.
Never:  tests; anything that outlives the run.
"""

import hashlib
import os
import pickle
import sys
from collections import OrderedDict

import pytest

from tapewright.services.calibrate import calibrate

MOST = 60  # in the process; the files hold all


class Remembered:
    """A function whose answers are kept by all that it was asked with."""

    def __init__(self, made):
        self._made, self._kept = made, OrderedDict()
        self.folder = None

    def __call__(self, *asked, **named):
        key = pickle.dumps((asked, sorted(named.items())))
        if key not in self._kept:
            self._kept[key] = self._read_or_made(key, asked, named)
        self._kept.move_to_end(key)
        while len(self._kept) > MOST:
            self._kept.popitem(last=False)
        return self._kept[key]

    def _read_or_made(self, key, asked, named):
        file = self.folder / hashlib.sha256(key).hexdigest()
        if file.exists():
            return pickle.loads(file.read_bytes())  # noqa: S301 — written by this very run
        answer = self._made(*asked, **named)
        draft = file.with_suffix(f".{os.getpid()}")
        draft.write_bytes(pickle.dumps(answer))
        draft.replace(file)  # whole or not at all: another worker may be looking
        return answer


REMEMBERED = Remembered(calibrate)
SEEN: set[str] = set()  # modules looked at already
ASKING: dict[str, object] = {}  # those of them that calibrate


def asking_modules():
    """Modules of the program that calibrate, those loaded meanwhile among them."""
    for name in sys.modules.keys() - SEEN:
        if name.startswith("tapewright.") and vars(sys.modules[name]).get("calibrate") is calibrate:
            ASKING[name] = sys.modules[name]
        SEEN.add(name)
    return ASKING.values()


@pytest.fixture(autouse=True)
def calibrated_once(monkeypatch, tmp_path_factory):
    """Wherever the program calibrates, until the test is over."""
    mine = tmp_path_factory.getbasetemp()  # with several workers, one folder of the run's for each
    run = mine.parent if "PYTEST_XDIST_WORKER" in os.environ else mine
    REMEMBERED.folder = run / "remembered"
    REMEMBERED.folder.mkdir(exist_ok=True)
    for module in asking_modules():
        monkeypatch.setattr(module, "calibrate", REMEMBERED)
