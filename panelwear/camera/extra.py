"""What the camera needs beside the program itself: the extra ``camera``, imported where it is used."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from panelwear.errors import UsageError

INSTALL = 'pip install "panelwear[camera]"'


@contextmanager
def needed() -> Iterator[None]:
    """Say what to install where an import inside it fails.

    Raises:
        UsageError: a package of the extra is missing.
    """
    try:
        yield
    except ModuleNotFoundError as missing:
        raise UsageError(f"the camera's commands need {missing.name}, which is not installed; {INSTALL}") from missing
