"""Remembered: what was calibrated once in a process is not calibrated again for the next test.

For tests of what is told, printed and kept, which ask the same sample hundreds of times; not for
those of the calibration itself.
"""

import pickle
import sys
from collections import OrderedDict

from tapewright.services.calibrate import calibrate

MOST = 60


class Remembered:
    """A function whose answers are kept by all that it was asked with."""

    def __init__(self, made):
        self._made, self._kept = made, OrderedDict()

    def __call__(self, *asked, **named):
        key = pickle.dumps((asked, sorted(named.items())))
        if key not in self._kept:
            self._kept[key] = self._made(*asked, **named)
        self._kept.move_to_end(key)
        while len(self._kept) > MOST:
            self._kept.popitem(last=False)
        return self._kept[key]


REMEMBERED = Remembered(calibrate)


def remember_calibrations(monkeypatch):
    """Wherever the program calibrates, until the test is over."""
    for name, module in list(sys.modules.items()):
        if name.startswith("tapewright.") and vars(module).get("calibrate") is calibrate:
            monkeypatch.setattr(module, "calibrate", REMEMBERED)
