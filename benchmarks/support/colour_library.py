"""colour-science, the reference that our own colour arithmetic is held against, kept from changing anything else."""

from __future__ import annotations

import os
import threading
import warnings
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from panelwear.plotting import make_ready

_IMPORT_LOCK = threading.Lock()


@cache
def _import_once() -> Any:
    # Real scipy and matplotlib come first: where colour-science does not find them it leaves mocks in
    # sys.modules under their names, and every later plot would silently be nothing.
    make_ready()
    import matplotlib  # noqa: F401
    import scipy.interpolate  # noqa: F401

    os.environ.setdefault("COLOUR_SCIENCE__FILTER_USAGE_WARNINGS", "True")
    options = np.get_printoptions()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour
    # It sets numpy's legacy printing mode, which would change every str(array) of the program.
    np.set_printoptions(**options)
    return colour


def colour_science() -> Any:
    """Return the ``colour`` module; the first call takes about 1.5 s."""
    with _IMPORT_LOCK:
        return _import_once()


def uv_1960_at(cct_K: ArrayLike, duv: ArrayLike) -> NDArray[np.float64]:
    """Return CIE 1960 u, v as ``(n, 2)`` at a colour temperature and Duv (inverse of Ohno 2013)."""
    pairs = np.column_stack([np.atleast_1d(np.asarray(cct_K, float)), np.atleast_1d(np.asarray(duv, float))])
    return np.asarray(colour_science().temperature.CCT_to_uv_Ohno2013(pairs), dtype=np.float64).reshape(-1, 2)
