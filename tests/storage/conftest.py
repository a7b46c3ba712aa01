"""Every engine, for every test of storage."""

from crowd import fork
from notebooks import (
    empty_database,
    empty_file,
    engine_name,
    file_notebook,
    notebook,
    notebook_url,
    server,
    url,
)

__all__ = [
    "empty_database",
    "empty_file",
    "engine_name",
    "file_notebook",
    "fork",
    "notebook",
    "notebook_url",
    "server",
    "url",
]
