"""Pairwise: few cases in which every two choices of any two questions meet.

Holds:  the choosing of cases.
Never:  what is asked.
"""

from itertools import combinations
from random import Random


def pairwise_cases(choices, seed=14, tries=60):
    """Cases as dictionaries; each pair of choices of two names stands in one of them."""
    chance, names = Random(seed), list(choices)
    open_pairs = {
        ((one, a), (other, b))
        for one, other in combinations(names, 2)
        for a in choices[one]
        for b in choices[other]
    }
    cases = []
    while open_pairs:
        (one, a), (other, b) = min(open_pairs, key=repr)
        best = max(
            (
                {name: chance.choice(choices[name]) for name in names} | {one: a, other: b}
                for _ in range(tries)
            ),
            key=lambda case: len(open_pairs & _pairs(case, names)),
        )
        open_pairs -= _pairs(best, names)
        cases.append(best)
    return cases


def _pairs(case, names):
    return {((one, case[one]), (other, case[other])) for one, other in combinations(names, 2)}
