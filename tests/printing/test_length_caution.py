"""What a strip of unknown length asks for: nobody is sent farther than they shoot."""

from types import SimpleNamespace

import pytest
from exact_units import YARD_M
from written_out import IMPERIAL

from tapewright.printing.tape_sentences import tape_cautions

SPAN = "From 20 to 60 yd the true strip is 30.0 to 40.0 mm long, more than these three strips span"


@pytest.mark.parametrize(
    ("farthest_yd", "then"),
    [
        (None, "shoot farther away before you stick one on."),
        (50, "shoot farther away before you stick one on."),  # trusted to 35 yd only
        (30, "ticks past 35 yd are guesses."),
    ],
)
def test_who_shoots_no_farther_than_the_tape_is_trusted_is_not_sent_farther(farthest_yd, then):
    farthest_m = None if farthest_yd is None else farthest_yd * YARD_M
    plan = SimpleNamespace(
        answer=SimpleNamespace(
            cautions=(), trusted_m=(35 * YARD_M,),
            rig=SimpleNamespace(archer=SimpleNamespace(farthest_m=farthest_m)),
        ),
        length_band_mm=(30.0, 40.0), between=(20.0, 60.0), lengths_mm=(33.0, 35.0, 37.0),
        order=SimpleNamespace(unit="yd"),
    )  # fmt: skip
    assert tape_cautions(plan, IMPERIAL) == (f"{SPAN}: {then}",)
