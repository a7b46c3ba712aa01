"""Vision: the library that works on pictures, fetched when it is first needed.

Holds:  the fetching; kinds of arrays of this wing.
Never:  what is done with it.
"""

import importlib
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tapewright.ground.errors import MissingExtra

Pixels = NDArray[np.uint8]
Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Field = NDArray[np.float32]  # one number for each pixel


def vision(name: str = "cv2") -> Any:  # noqa: ANN401 — a module, whose functions are its own
    """Library for pictures.

    Parameters
    ----------
    name : str
        Which module: ``"cv2"``, or ``"pi_heif"`` for pictures of some telephones.

    Returns
    -------
    module
        The library.

    Raises
    ------
    MissingExtra
        If it is not installed.
    """
    try:
        return importlib.import_module(name)
    except ImportError:
        raise MissingExtra("Reading a photograph", "photo") from None
