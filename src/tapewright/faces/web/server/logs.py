"""Logs: what a server writes while it runs, a line for a person or an object for a program.

Holds:  the two ways; a request as it is written down: never who asked, nor what was asked for
        behind the question mark, where names may stand.
Never:  what goes wrong (app.py), counts (metrics.py).
"""

import json
import logging
import os
from datetime import UTC, datetime
from typing import Any, Literal

from uvicorn.config import LOGGING_CONFIG

Log = Literal["errors", "json"]
REQUESTS = logging.getLogger("tapewright.requests")


class JsonLines(logging.Formatter):
    """Every record an object on a line of its own."""

    def format(self, record: logging.LogRecord) -> str:
        """The object."""
        told: dict[str, Any] = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "from": record.name,
            "process": os.getpid(),
            "message": record.getMessage(),
            **getattr(record, "told", {}),
        }
        if record.exc_info:
            told["trace"] = self.formatException(record.exc_info)
        return json.dumps(told, default=str)  # ASCII: whatever the encoding of the log


def note_request(method: str, path: str, status: int, took_s: float) -> None:
    """Write a request down, where requests are; that somebody watches over the server is not."""
    if REQUESTS.isEnabledFor(logging.INFO) and not path.startswith("/health"):
        told = {"method": method, "path": path, "status": status, "ms": round(took_s * 1e3, 1)}
        REQUESTS.info("request", extra={"told": told})


def settings(log: Log) -> dict[str, Any]:
    """What Python's logging and the server library are told."""
    if log == "errors":
        return {"log_config": LOGGING_CONFIG, "log_level": "error"}
    config = {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": {"json": {"()": "tapewright.faces.web.server.logs.JsonLines"}},
        "handlers": {"lines": {"class": "logging.StreamHandler", "formatter": "json"}},
        "root": {"handlers": ["lines"], "level": "WARNING"},
        "loggers": {"tapewright": {"level": "INFO"}, "uvicorn": {"level": "INFO"}},
    }
    return {"log_config": config, "log_level": "info"}
