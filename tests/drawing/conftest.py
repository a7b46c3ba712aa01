"""What the tests of the east wing share: a strip as a fair arrow would need it."""

import pytest

from tapewright.drawing.tape import Column, Mark, Strip


@pytest.fixture
def make_column():
    """A column whose marks spread more the farther they are, as those of a real arrow do."""

    def make(
        name="pin 1",
        *,
        first=10,
        last=80,
        trusted_to=60,
        per_mm=0.6,
        close=(),
        start_mm=0.0,
        sense=1,
    ):
        def position_mm(distance):
            return start_mm + sense * (per_mm * distance + 0.004 * distance**2)

        far = [
            Mark(float(one), position_mm(one), one <= trusted_to) for one in range(first, last + 1)
        ]
        near = [Mark(float(one), position_mm(2 * first - one), close=True) for one in close]
        return Column(name, (*far, *near))

    return make


@pytest.fixture
def make_strip(make_column):
    """A strip with as many pins as asked for."""

    def make(name="12 of 33, 31.4 mm", pins=1, align="Stick it with the 20 on 12.4.", **column):
        columns = (
            make_column(f"pin {pin}", start_mm=-7.0 * pin, **column) for pin in range(1, pins + 1)
        )
        return Strip(name, tuple(columns), align)

    return make
