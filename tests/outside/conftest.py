"""The ledger: each outside test enters what it checked, against whom, and the worst difference."""

import hashlib
import json
import pathlib

import pytest

LEDGER = pathlib.Path(__file__).parent / ".ledger"


@pytest.fixture
def ledger(request):
    """Enter one line of docs/accuracy.md and fail when the worst difference is not allowed."""

    def enter(what, against, cases, worst, allowed, unit):
        line = {
            "what": what,
            "against": against,
            "cases": int(cases),
            "worst": float(worst),
            "allowed": float(allowed),
            "unit": unit,
        }
        LEDGER.mkdir(exist_ok=True)
        name = hashlib.sha256((request.node.nodeid + what).encode()).hexdigest()[:16]
        (LEDGER / f"{name}.json").write_text(json.dumps(line), encoding="utf-8")
        assert worst <= allowed, f"{what}: {worst:g} {unit}, allowed {allowed:g}"

    return enter
