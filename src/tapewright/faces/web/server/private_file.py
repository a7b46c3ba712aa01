"""Private file: content that only its owner may read, written whole or not at all.

Holds:  writing one.
Never:  what stands in it.
"""

import os
from pathlib import Path


def write_private(path: Path, content: bytes) -> None:
    """Write a file that nobody else could read at any moment, in the place of an older one."""
    draft = path.with_name(f"{path.name}.part")
    draft.unlink(missing_ok=True)  # one that others may read would stay so
    with os.fdopen(os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
        file.write(content)
    draft.replace(path)
