"""An answer with two pins of which nothing is left to warn, for tables written out by hand."""

import pytest
from told_by_hand import quiet_answer


@pytest.fixture
def quiet():
    return quiet_answer()
