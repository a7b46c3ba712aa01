"""Wording of planning: old names of words/units.py and words/numbers.py, until nobody uses them."""

from tapewright.words.numbers import chance_words
from tapewright.words.units import IMPERIAL, METRIC, distance_words

__all__ = ["chance_words", "tidy_distance"]


def tidy_distance(distance_m: float, unit: str) -> str:
    """A distance with its unit: no finer than anybody measures it."""
    return distance_words(distance_m, METRIC if unit == "m" else IMPERIAL)
