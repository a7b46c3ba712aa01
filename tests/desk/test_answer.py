"""An answer in a notebook: a line, a table, a frame, a picture."""

import sys
from dataclasses import replace
from html.parser import HTMLParser

import numpy as np
import pandas as pd
import pytest

import tapewright.api as tw
from tapewright.ground.errors import BadInput, MissingExtra, Withheld

HEADS = [
    "distance_m", "reading_m", "low_m", "high_m", "impact_low_m", "impact_high_m", "is_trusted",
]  # fmt: skip


def test_what_a_console_shows_is_short(bench):
    answer = bench.answer
    told = "<Answer of Heron: 8 groups, 3 marks from 18.288 to 91.44 m, trusted to 84.0 m>"
    assert repr(answer) == told
    for one in (answer.bands, answer.posterior, answer.posterior.bows(), bench.shots[0].group):
        assert len(repr(one)) < 500
    for one in (answer.posterior.calibration, answer.posterior.calibration.evidence):
        assert len(repr(one)) < 100


def test_marks_come_as_a_pandas_frame(bench):
    frame = bench.answer.marks_frame()
    assert isinstance(frame, pd.DataFrame)
    assert list(frame) == HEADS
    assert frame["is_trusted"].tolist() == [True, True, False]
    assert (frame["low_m"] < frame["reading_m"]).all()
    frame["reading_m"] = 0.0  # the answer's own numbers stay
    assert bench.answer.bands.reading_m.min() > 0.01


def test_marks_of_the_second_pin_lie_lower_on_the_scale(bench):
    first, second = (bench.answer.marks_frame(dict, pin=pin)["reading_m"] for pin in (1, 2))
    # 9 mm below the first, 1.6 numbers a millimetre of travel, as the sheet says
    assert first - second == pytest.approx(np.full(3, 0.0144), abs=1e-3)


def test_another_library_makes_its_own_frame(bench):
    class Frame:
        def __init__(self, columns):
            self.columns = list(columns)

    assert bench.answer.marks_frame(Frame).columns == HEADS


def test_without_pandas_the_mend_is_told(bench, monkeypatch):
    monkeypatch.setitem(sys.modules, "pandas", None)
    with pytest.raises(BadInput, match=r"pandas is not installed\. Install it, or name what shall"):
        bench.answer.marks_frame()
    assert len(bench.answer.marks_frame(dict)) == 7


class Cells(HTMLParser):
    """Cells and paragraphs of a piece of HTML."""

    def __init__(self):
        super().__init__()
        self.open, self.told = [], []

    def handle_starttag(self, tag, attrs):
        del attrs
        self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        self.told.append((self.open[-1], data))


def cells_of(answer):
    page = Cells()
    page.feed(answer._repr_html_())
    assert not page.open
    return page.told


def test_a_notebook_shows_marks_and_what_is_said_of_them(bench):
    told = cells_of(bench.answer)
    cells = [text for tag, text in told if tag == "td"]
    reading = f"{1e3 * bench.answer.bands.reading_m[2]:.2f}"
    assert cells[14:16] == ["91.4", reading]
    assert [cells[6], cells[13], cells[20]] == ["yes", "yes", "no"]
    assert any("Trusted to 84 m" in text for _, text in told)


def test_a_name_is_no_markup(bench):
    rig = replace(bench.rig, name="<script>Heron & Wren</script>")
    told = cells_of(replace(bench.answer, rig=rig))
    assert ("b", "<script>Heron & Wren</script>") in told


def test_many_marks_are_thinned_and_it_is_said(bench):
    many = tw.calibrate(bench.rig, bench.shots, np.arange(10.0, 100.0))
    told = cells_of(many)
    assert sum(tag == "td" for tag, _ in told) == 30 * 7
    assert any("One mark in 3 of 90" in text for _, text in told)


def test_what_must_not_be_shot_shows_no_marks(bench):
    rig = replace(bench.rig, damaged=("bow",))
    stopped = tw.calibrate(rig, bench.shots, [20.0])
    told = cells_of(stopped)
    assert any(text.startswith("STOP") for _, text in told)
    assert not any(tag == "td" for tag, _ in told)
    assert "STOP, must not be shot" in repr(stopped)
    with pytest.raises(Withheld):
        stopped.marks_frame(dict)
    pytest.importorskip("matplotlib")
    with pytest.raises(Withheld):
        stopped.plot()


@pytest.fixture
def plotter():
    pytest.importorskip("matplotlib").use("agg")
    import matplotlib.pyplot as plt

    yield plt
    plt.close("all")


def test_a_picture_is_drawn_on_axes_of_its_own_or_given_ones(bench, plotter):
    own = bench.answer.plot()
    assert "how far each mark can be wrong" in own.get_title(loc="left")
    assert own.get_xlabel() == "distance, m"
    figure, (left, right) = plotter.subplots(1, 2)
    assert bench.answer.plot(left, "slopes", metric=False) is left
    assert left.get_xlabel() == "distance along the line of sight, yd"
    assert not right.lines
    assert figure.axes[0] is left


def test_without_matplotlib_the_mend_is_told(bench, monkeypatch):
    monkeypatch.setitem(sys.modules, "matplotlib.pyplot", None)
    with pytest.raises(MissingExtra, match="A picture needs an optional library"):
        bench.answer.plot()
