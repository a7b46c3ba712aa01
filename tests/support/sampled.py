"""Sampled: of many dear cases that are alike, ./test runs a few and ./test --long all others.

Holds:  one_in.
Never:  cases, tests.
"""

import pytest


def one_in(count, cases):
    """The cases, all but the first and each so many later marked as long."""
    return [
        case if place % count == 0 else pytest.param(case, marks=pytest.mark.long)
        for place, case in enumerate(cases)
    ]
