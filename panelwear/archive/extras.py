"""Libraries that only some commands need: asked for before anything is done, with what to install."""

from __future__ import annotations

from importlib.util import find_spec

from panelwear.errors import UsageError

EXTRAS = {"pyarrow": "archive", "openpyxl": "archive", "dask": "cluster", "distributed": "cluster"}
"""Library and the extra of ours that installs it."""


def is_there(library: str) -> bool:
    """Tell whether a library is installed; it is not imported."""
    return find_spec(library) is not None


def needed(what: str, *libraries: str) -> None:
    """Raise ``UsageError`` where a library is missing: what needs it, and how to install it."""
    for library in libraries:
        if not is_there(library):
            raise UsageError(f"{what} needs the library {library}; {to_install(library)}")


def to_install(library: str) -> str:
    """Say what to type to have a library."""
    return f'pip install -e ".[{EXTRAS[library]}]" in the checkout installs it'
