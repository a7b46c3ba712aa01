"""Chosen: a plugin of pytest that keeps the tests of a list, in the list's order.

Holds:  that choice.
Never:  opinions on tests.
"""

import json
import os
from pathlib import Path


def pytest_collection_modifyitems(config, items):
    """Keep what is listed; a test without its parameters, or a file, stands for all of them."""
    listed = json.loads(Path(os.environ["MUTANTS_CHOSEN"]).read_text(encoding="utf-8"))
    place = {one: number for number, one in enumerate(listed)}

    def placed(item):
        names = (item.nodeid, item.nodeid.partition("[")[0], item.nodeid.partition("::")[0])
        return next((place[one] for one in names if one in place), -1)

    config.hook.pytest_deselected(items=[one for one in items if placed(one) < 0])
    items[:] = sorted((one for one in items if placed(one) >= 0), key=placed)
