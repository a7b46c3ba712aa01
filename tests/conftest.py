"""No test waits for ever: each has a limit, and a second one that nothing can hold up.

Which tests are slow, and which are asked what they cover, is told here by folder and fixture, too.

``pytest-timeout`` ends a test by a signal, so that the rest goes on in the same process and what
the test started is put away. A test that catches everything (hypothesis tries a failing example
again) or that never comes back from C outlives that; a minute later the process is ended from a
thread outside Python, and ``-n 2`` names the test and goes on in a new process.

``--processor`` tells at the end what processor time each file took.
"""

import faulthandler
import gc
import resource
import sys
from collections import Counter

import pytest
from _pytest.faulthandler import fault_handler_stderr_fd_key
from hypothesis import HealthCheck, settings

LONG_S = 12_000  # for a test marked long without a limit of its own: twenty times ten minutes
ROOMS_S = {  # of tests that take more than the thirty seconds for which pyproject.toml has a limit
    "outside/test_against_simulated_": 3_600,
    "outside/test_against_photographs": 3_600,
    "journeys/web/test_every_page": 1_800,
}
GRACE_S = 60
# Left out by ./test --quick: the web, browsers, servers, processes that are
# killed, pictures, readers of prints, simulations.
SLOW_ROOMS = (
    "journeys", "outside", "faces/web", "faces/pocket/test_card", "faces/cli/test_keeping",
    "faces/cli/test_batch", "faces/cli/test_commands", "faces/cli/test_photo",
    "faces/cli/test_proving", "faces/cli/test_stops_everywhere", "faces/cli/test_planning",
    "faces/cli/test_outdoors", "faces/cli/test_picture", "services/test_share_work",
    "services/test_by_", "services/test_refit_kept",
    "services/test_read_photo", "services/test_learn_clicks", "services/test_print_t",
    "services/test_prove", "photograph", "storage/test_kills", "storage/test_together",
    "storage/test_full_disk", "storage/test_lists", "storage/test_verdicts", "storage/test_damage",
    "storage/test_sums", "storage/test_taking_in", "house/test_floors", "house/test_setting_up",
    "house/test_site",
)  # fmt: skip
# Begun first: whoever began them last would keep all others waiting at the end.
DEAR_ROOMS = ("journeys/web/", "faces/web/test_serving", "outside/", "faces/web/test_tapping")
SLOW_FIXTURES = {"server", "chromium", "enter", "live"}
# Floors 0 to 5 are covered by their own tests; to trace them under all others doubles the time.
UPSTAIRS = (
    "services", "words", "reading", "questions", "printing", "faces", "desk", "journeys", "house",
    "outside",
)  # fmt: skip
# Nor are these traced, the dearest of them: what they run others run, too.
# If a line is said to be run by no test, look whether one of these was the only one.
UNTRACED = (
    "calibration/test_sticking.py::test_likelihood_agrees_with_dense_integration",
    "confidence/test_bands.py::test_a_slow_bow_has_marks_and_trust_as_far_as_it_shoots",
    "confidence/test_checks.py::test_sound_groups_are_seldom_called_odd",
    "confidence/test_levelling.py::test_bands_hold_the_truth_and_upright_sights_are_left_alone",
    "confidence/test_posterior.py::test_two_thousand_arrows_can_be_drawn",
    "confidence/test_slips.py::test_a_group_that_no_mistake_explains_is_not_called_a_slip",
    "confidence/test_slips.py::test_one_slip_that_moves_the_fit_is_found_though_another",
    "confidence/test_strips.py::test_steps_are_never_finer_than_anyone_can_stick",
    "confidence/test_two_bows.py::test_trust_falls_where_two_bows_may_be_mixed",
    "drawing/test_printable_area.py::test_no_ink_lies_on_the_rim_that_printers_leave_white",
    "drawing/test_tape.py::test_no_two_labels_touch_and_all_stay_on_the_strip",
    "photograph/test_picture.py::test_words_in_a_png_that_swell_are_not_swollen",
    "photograph/test_spots.py::test_a_bare_sheet_has_no_spots",
    "photograph/test_straighten.py::test_own_errors_hold_what_noise_does",
    "sight/test_prediction.py::test_two_distances_share_an_angle_about_the_turn",
    "storage/test_archive.py::test_a_forged_value_anywhere_is_refused_or_is_an_archive",
    "storage/test_archive.py::test_one_character_edited_changes_nothing_or_means_the_same",
    "storage/test_lists.py::test_a_list_takes_hundreds_of_rigs_at_once",
    "storage/test_taking_in.py::test_hundreds_of_entries_go_in_at_once",
    "target/test_aim_test.py::test_region_holds_the_true_centre_nine_times_in_ten",
    "target/test_spread.py::test_bands_hold_the_truth_nine_times_in_ten",
)

# A busy machine is no fault of ours.
settings.register_profile("house", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("house")


@pytest.fixture(scope="module", autouse=True)
def _forgetful():
    """What the floors remember is forgotten between files, so that who asked first does not count.

    A line that runs once in a process would else be traced or not by the order of the tests.
    """
    for name, module in list(sys.modules.items()):
        if name.startswith("tapewright.") and not name.startswith("tapewright.faces"):
            for one in list(vars(module).values()):
                getattr(one, "cache_clear", bool)()


@pytest.hookimpl(wrapper=True)
def pytest_collection():
    """Thousands of tests stay until the end: nobody looks through them for what may go."""
    gc.disable()
    try:
        return (yield)
    finally:
        gc.freeze()
        gc.enable()
        TOLD_S[0] = processor_s()


def pytest_collection_modifyitems(items):
    """Give long tests their limit; mark what is slow; the dear ones first."""
    for item in items:
        room = item.nodeid.removeprefix("tests/")
        if not item.get_closest_marker("timeout"):
            longest = [told_s for start, told_s in ROOMS_S.items() if room.startswith(start)]
            longest += [LONG_S] if item.get_closest_marker("long") else []
            if longest:
                item.add_marker(pytest.mark.timeout(max(longest)))
        if room.startswith(SLOW_ROOMS) or SLOW_FIXTURES & set(item.fixturenames):
            item.add_marker("slow")
    items.sort(key=lambda item: not item.nodeid.removeprefix("tests/").startswith(DEAR_ROOMS))


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
    trace_or_not(item)
    try:
        return (yield)
    finally:
        faulthandler.cancel_dump_traceback_later()


def trace_or_not(item):
    """Trace a test with all that it sets up and the threads that it starts there, or none of it.

    Whoever asks which test runs which line is told of every one.
    """
    tracing = getattr(item.config.pluginmanager.getplugin("_cov"), "cov_controller", None)
    room = item.nodeid.removeprefix("tests/")
    wanted = item.config.getoption("cov_context", None) or not room.startswith(UPSTAIRS + UNTRACED)
    if tracing is not None and tracing.started != bool(wanted):
        (tracing.resume if wanted else tracing.pause)()


def pytest_addoption(parser):
    parser.addoption(
        "--processor", action="store_true", help="tell what processor time each file of tests took"
    )


TOLD_S, SPENT_S = [0.0], Counter()


def processor_s():
    """Of this process, and of those it started that have ended. [s]"""
    spent = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return sum(one.ru_utime + one.ru_stime for one in spent)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport():
    """A report takes along what was spent since the last one, to wherever it is read."""
    report = yield
    now_s = processor_s()
    report.processor_s, TOLD_S[0] = now_s - TOLD_S[0], now_s
    return report


def pytest_runtest_logreport(report):
    SPENT_S[report.nodeid.split("::")[0]] += getattr(
        report, "processor_s", 0.0
    )  # none of a worker that died


def pytest_terminal_summary(terminalreporter, config):
    if config.getoption("processor"):
        terminalreporter.section(f"{sum(SPENT_S.values()):.0f} s of processor")
        for room, spent_s in SPENT_S.most_common():
            terminalreporter.write_line(f"{spent_s:8.1f} s  {room}")
