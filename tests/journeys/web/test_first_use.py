"""First use: from an unboxed bow to a printed tape, with its taps and page loads counted.

The person knows what lies beside a new bow, does what each page offers first, and shoots a bow
whose truth only the simulation knows. Safety questions and the keeping of groups are not counted.
"""

import pytest
from first_use import first_use

MOST_TAPS, MOST_LOADS = 25, 12


@pytest.mark.long
@pytest.mark.timeout(600)
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_first_tape_takes_few_taps_and_few_pages(enter, seed):
    seen, groups = first_use(enter(), seed)
    assert groups[0][0] == 10.0  # yards: near by, with a sight set by eye
    assert 40.0 <= groups[-1][0] <= 60.0
    assert len(seen.taps) <= MOST_TAPS
    assert len(seen.loads) <= MOST_LOADS
