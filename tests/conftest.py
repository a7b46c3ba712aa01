"""No test waits for ever: each has a limit, and a second one that nothing can hold up.

``pytest-timeout`` ends a test by a signal, so that the rest goes on in the same process and what
the test started is put away. A test that catches everything (hypothesis tries a failing example
again) or that never comes back from C outlives that; a minute later the process is ended from a
thread outside Python, and ``-n 2`` names the test and goes on in a new process.
"""

import faulthandler

import pytest
from _pytest.faulthandler import fault_handler_stderr_fd_key
from hypothesis import HealthCheck, settings

LONG_S = 12_000  # for a test marked long without a limit of its own: twenty times ten minutes
GRACE_S = 60

# A busy machine is no fault of ours.
settings.register_profile("house", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("house")


def pytest_collection_modifyitems(items):
    """Give long tests their limit."""
    for item in items:
        if item.get_closest_marker("long") and not item.get_closest_marker("timeout"):
            item.add_marker(pytest.mark.timeout(LONG_S))


def limit_s(item):
    """How long a test may take, its fixtures included. [s]"""
    marker = item.get_closest_marker("timeout")
    if marker:
        return float(marker.args[0] if marker.args else marker.kwargs["timeout"])
    return float(item.config.getoption("timeout") or item.config.getini("timeout"))


@pytest.hookimpl(wrapper=True)
def pytest_runtest_protocol(item):
    """End the process of a test that outlives its limit."""
    out = item.config.stash[fault_handler_stderr_fd_key]
    faulthandler.dump_traceback_later(limit_s(item) + GRACE_S, exit=True, file=out)
    try:
        return (yield)
    finally:
        faulthandler.cancel_dump_traceback_later()
