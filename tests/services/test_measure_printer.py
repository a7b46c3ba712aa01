"""What a printer makes of 100 mm, from its proof rulers."""

import pytest

from tapewright.ground.errors import BadInput
from tapewright.services.measure_printer import proof_after


def test_a_measure_on_a_corrected_print_goes_on_top_of_its_correction():
    assert proof_after((99.0, 100.5)) == pytest.approx((99.0, 100.5))
    assert proof_after((100.0, 100.0), (99.0, 100.5)) == pytest.approx((99.0, 100.5))
    assert proof_after((99.8, 100.1), (99.0, 100.5)) == pytest.approx((98.802, 100.6005))
    with pytest.raises(BadInput, match="printer's own error"):
        proof_after((75.0, 100.0))
