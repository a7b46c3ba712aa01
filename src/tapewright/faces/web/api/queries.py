"""Queries: what may be said, as parameters of an address with their schema.

Holds:  a field to the type of its parameter, its usual value and its description.
Never:  a question or a print.
"""

from typing import Any, Literal

from fastapi import Query

from tapewright.questions.question import Field


def parameter(field: Field, most_letters: int) -> tuple[Any, Any]:
    """Type of a field's parameter, and what the description of the API says of it."""
    if field.ends:
        least, most = field.ends
        usual = int(field.usual)
        return int, Query(usual, ge=least, le=most, description=field.about)
    if field.choices:
        return Literal[("", *field.choices)], Query("", description=field.about)
    return str, Query("", max_length=most_letters, description=field.about)
