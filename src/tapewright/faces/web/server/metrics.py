"""Metrics: what a server tells a monitoring program: how much it is asked, how fast, how well.

All workers count into files of one folder (the client library's own way), and the program that
started them adds up and answers, at a port of its own: no proxy in front of the pages can hand it
out by a slip, and it answers when every worker is busy. Nothing of people, rigs or addresses is in
it: a kind of address and a status are all that a count knows of a request.

Holds:  the counts, their folder, the port that tells them.
Never:  pages, logs (logs.py).
"""

import os
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

from starlette.requests import Request

from tapewright import __version__
from tapewright.faces.web.server.health import Pulse
from tapewright.faces.web.server.logs import note_request
from tapewright.ground.errors import BadInput, MissingExtra

FOLDER = "PROMETHEUS_MULTIPROC_DIR"  # where the client library counts for several processes
KINDS = (("/static/", "static"), ("/health", "health"), ("/api/", "api"), ("/worker.js", "static"))
SECONDS = (0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 10.0, 30.0)


def kind_of(path: str) -> str:
    """Kind of an address: all that is counted of it."""
    return next((kind for start, kind in KINDS if path.startswith(start)), "page")


class Counts:
    """What one worker counts."""

    def __init__(self) -> None:
        from prometheus_client import CollectorRegistry, Counter, Histogram  # noqa: PLC0415 — an extra

        own = CollectorRegistry()
        self._requests = Counter(
            "tapewright_requests", "Requests answered.", ("kind", "status"), registry=own
        )
        self._seconds = Histogram(
            "tapewright_request_seconds", "Time until an answer began.", ("kind",),
            buckets=SECONDS, registry=own,
        )  # fmt: skip

    def note(self, path: str, status: int, took_s: float) -> None:
        """Count an answer."""
        kind = kind_of(path)
        self._requests.labels(kind, str(status)).inc()
        self._seconds.labels(kind).observe(took_s)


def note_answer(counts: Counts | None, request: Request, status: int, took_s: float) -> None:
    """Count an answer and write it down, as far as that was asked for."""
    if counts is not None:
        counts.note(request.url.path, status, took_s)
    note_request(request.method, request.url.path, status, took_s)


def prepare(folder: Path) -> None:
    """Let processes count together from here on; MissingExtra if the library is not there."""
    try:
        # It looks for the folder as it is loaded.
        os.environ[FOLDER] = str(folder)
        import prometheus_client  # noqa: F401, PLC0415 — an extra
    except ImportError:
        raise MissingExtra("What --metrics tells", "shop") from None
    folder.mkdir()


class _Now:
    """What is not counted but looked at when somebody asks."""

    def __init__(self, pulse: Pulse, workers: Callable[[], int]) -> None:
        self._pulse, self._workers = pulse, workers

    def collect(self) -> Iterable[Any]:
        from prometheus_client.metrics_core import GaugeMetricFamily  # noqa: PLC0415 — an extra

        took_s = self._pulse.beat()
        answers = "Whether the notebook answers within 3 s: 1 or 0."
        yield GaugeMetricFamily("tapewright_notebook_reachable", answers, value=took_s is not None)
        if took_s is not None:
            yield GaugeMetricFamily("tapewright_notebook_seconds", "Time it took.", value=took_s)
        yield GaugeMetricFamily("tapewright_workers", "Processes at work.", value=self._workers())
        version = GaugeMetricFamily("tapewright_build", "The program.", labels=("version",))
        version.add_metric((__version__,), 1)
        yield version


def tell(place: tuple[str, int], pulse: Pulse, workers: Callable[[], int]) -> Callable[[], None]:
    """Answer at an address and port until what is given back is called."""
    from prometheus_client import CollectorRegistry, start_http_server  # noqa: PLC0415 — an extra
    from prometheus_client.multiprocess import MultiProcessCollector  # noqa: PLC0415 — the same

    told = CollectorRegistry()
    MultiProcessCollector(told)  # type: ignore[no-untyped-call]  # the library forgot
    told.register(_Now(pulse, workers))
    address, port = place
    try:
        server, _thread = start_http_server(port, address, told)
    except OSError as refused:
        wrong = f"{address}:{port} cannot be had: {refused.strerror}"
        raise BadInput("--metrics", wrong, "Choose another port, above 1023") from None
    return server.shutdown
