"""Libraries that only some commands need, the extras that install them, and what is said where one is missing."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from importlib.util import find_spec

from panelwear.errors import UsageError

EXTRAS = {
    "pyarrow": "archive", "openpyxl": "archive", "dask": "cluster", "distributed": "cluster",
    "rawpy": "camera", "skimage": "camera", "tifffile": "camera", "segno": "camera", "zxingcpp": "camera",
}  # fmt: skip
"""Library, as it is imported, and the extra that installs it."""


def is_there(library: str) -> bool:
    """Tell whether a library is installed; it is not imported."""
    return find_spec(library) is not None


def needed(what: str, *libraries: str) -> None:
    """Raise ``UsageError`` where a library is missing: what needs it, and how to install it."""
    for library in libraries:
        if not is_there(library):
            raise UsageError(_missing(what, library))


@contextmanager
def needing(what: str) -> Iterator[None]:
    """Say what to install where an import inside it fails.

    Raises:
        UsageError: a library of an extra is missing.
    """
    try:
        yield
    except ModuleNotFoundError as missing:
        name = (missing.name or "").partition(".")[0]
        if name not in EXTRAS:
            raise
        raise UsageError(_missing(what, name)) from missing


def to_install(library: str) -> str:
    """Say what to type to have a library."""
    return f'pip install -e ".[{EXTRAS[library]}]" in the checkout installs it'


def _missing(what: str, library: str) -> str:
    return f"{what} needs the library {library}; {to_install(library)}"
