"""Budget: a miss budget as a table and sentences.

Holds:  what ``budget`` shows.
Never:  computations, how a face draws it.
"""

from tapewright.faces.wording_budget import ERROR_NAMES, budget_words
from tapewright.faces.wording_outdoors import bare_distance, mark_cautions
from tapewright.services.weigh_errors import Budget
from tapewright.words.blocks import Blocks, Mind, Table
from tapewright.words.quantities import in_unit
from tapewright.words.units import Units


def budget_blocks(found: Budget, units: Units) -> Blocks:
    """What each error costs, and what to improve first."""
    miss = units.miss
    rows = tuple(
        (
            ERROR_NAMES[share.name],
            f"{in_unit(share.right_m, miss):.2f}",
            f"{in_unit(share.up_m, miss):.2f}",
            f"{100 * share.saved:.0f} %",
        )
        for share in found.shares
    )
    heads = ("error alone", f"left or right {miss}", f"up or down {miss}", "share")
    where = bare_distance(found.distance_m, units)
    title = f"Miss budget at {where} {units.distance}, one deviation each"
    return (
        Table(title, heads, rows),
        *budget_words(found, units),
        *map(Mind, mark_cautions(found.answer, units)),
    )
