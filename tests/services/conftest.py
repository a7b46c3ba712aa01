"""Every engine of the notebook, for the tests of errands that share one."""

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
    "notebook",
    "notebook_url",
    "server",
    "url",
]
