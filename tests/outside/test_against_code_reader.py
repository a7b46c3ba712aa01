"""The code on the sheet is read off a picture of the page by a reader that we did not write."""

import os
import shutil
import subprocess

import cv2
import numpy as np
import pytest
from exact_units import YARD_M
from sessions import groups, rig, truth_near
from written_out import IMPERIAL, METRIC

from tapewright.calibration.rig import Belief
from tapewright.printing.tape_sentences import tape_words
from tapewright.services.calibrate import calibrate
from tapewright.services.print_tape import TapeOrder, plan_tape, print_tape

DPI = 150  # grey, of a plain office scanner; a phone sees more
MEND = "sudo apt-get install poppler-utils"
PINS = tuple(Belief(0.009 * pin, 0.0002) for pin in (1, 2, 3, 4))
GRID_M = np.arange(10, 126) * YARD_M
SHEETS = {
    "one pin, yards, A4": ((), "yd", "A4", "Heron"),
    "two pins, metres, Letter": (PINS[:1], "m", "Letter", "Große Möwe №1"),
    "four pins, yards, A4": (PINS[:3], "yd", "A4", "A rig with a name far longer than any label"),
    "five pins, metres, Letter": (PINS, "m", "Letter", "弓の達人"),
}


def planned(pins, unit, paper, name):
    sheet = rig({"pins_below_first_m": pins}, name=name)
    answer = calibrate(sheet, groups(sheet, truth_near(sheet)), (18.0,), GRID_M)
    order = TapeOrder(
        unit=unit, distances=tuple(map(float, range(10, 121 if unit == "yd" else 111))),
        between=(20.0, 60.0), width_mm=(12.0, 16.0, 25.0, 25.0, 25.0)[len(pins)], paper=paper,
    )  # fmt: skip
    return plan_tape(answer, order)


@pytest.mark.parametrize("name", SHEETS)
def test_the_code_on_a_sheet_says_the_tape_s_marks(name, tmp_path, ledger):
    if shutil.which("pdftocairo") is None:
        words = f"SKIPPED: no pdftocairo. Install it with: {MEND}"
        pytest.fail(words) if os.environ.get("CI") else pytest.skip(words)
    pins, unit, paper, rig_name = SHEETS[name]
    plan = planned(pins, unit, paper, rig_name)
    words = tape_words(plan, METRIC if unit == "m" else IMPERIAL, "2026-11-25")
    ((_, pdf),) = print_tape(plan, words, ("pdf",))
    (tmp_path / "tape.pdf").write_bytes(pdf)
    subprocess.run(
        ["pdftocairo", "-r", str(DPI), "-png", "-gray", "-f", "1", "-singlefile",
         tmp_path / "tape.pdf", tmp_path / "page"],
        check=True, timeout=60,
    )  # fmt: skip
    picture = cv2.imread(str(tmp_path / "page.png"), cv2.IMREAD_GRAYSCALE)
    text, _, _ = cv2.QRCodeDetector().detectAndDecode(picture)
    head, kind, *lines = text.splitlines()
    assert head == f"{rig_name[:24]} 2026-11-25 {plan.answer.fingerprint}"
    assert kind.startswith(f"{unit} mm")
    assert f"trusted to {plan.answer.trusted_m[0] / plan.order.unit_m:.0f}" in kind
    read = [line.split() for line in lines]
    distances = [float(line[0]) for line in read]
    kept = [dict(plan.kept(1, pin)) for pin in range(len(pins) + 1)]
    assert distances == [one for one in sorted(kept[0]) if one % 10 == 0]
    assert "not each ten" not in kind
    worst = 0.0
    for distance, line in zip(distances, read, strict=True):
        assert len(line) == 2 + len(pins)  # no pin is left out
        for pin, mark in enumerate(line[1:]):
            assert (mark == "-") is (distance not in kept[pin])
            if mark != "-":
                worst = max(worst, abs(float(mark) - 1e3 * kept[pin][distance]))
    assert len(text.encode()) <= 412
    against = "OpenCV's code reader, page at 150 dpi, grey"
    # written with one decimal
    ledger(f"marks in the sheet's code, {name}", against, len(read), worst, 0.0501, "mm")
