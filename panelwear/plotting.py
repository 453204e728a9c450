"""Where matplotlib keeps its list of fonts, settled before it is imported, so that no read-only home makes it warn."""

from __future__ import annotations

import atexit
import os
import shutil
import sys
import tempfile
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from matplotlib.figure import Figure

VARIABLE = "MPLCONFIGDIR"
"""Names the folder in which matplotlib keeps its list of fonts."""


@cache
def make_ready() -> None:
    """Have matplotlib keep its list of fonts in a temporary folder where its own cannot be written."""
    if VARIABLE in os.environ or all(_writable(place) for place in usual_places(os.environ)):
        return
    try:
        made = tempfile.mkdtemp(prefix="panelwear-matplotlib-")
    except OSError:
        return  # nowhere at all: matplotlib says so itself
    os.environ[VARIABLE] = made
    atexit.register(shutil.rmtree, made, ignore_errors=True)


def new_figure(width: float, height: float, title: str, note: str) -> Figure:
    """Make an empty figure with a title and a note below it; sizes in inches."""
    make_ready()
    from matplotlib.figure import Figure

    figure = Figure(figsize=(width, height), layout="constrained")
    figure.suptitle(f"{title}\n{note}", fontsize=11)
    return figure


def usual_places(environment: Mapping[str, str]) -> tuple[Path, ...]:
    """Return the folders matplotlib would take: settings and cache apart where the system keeps them apart."""
    home = Path(os.path.expanduser("~"))  # noqa: PTH111 - Path.expanduser raises where there is no home
    if not sys.platform.startswith(("linux", "freebsd")):
        local = environment.get("LOCALAPPDATA")
        old = home / ".matplotlib"
        return (Path(local) / "matplotlib" if local and not old.is_dir() else old,)
    settings, kept = environment.get("XDG_CONFIG_HOME"), environment.get("XDG_CACHE_HOME")
    return (
        (Path(settings) if settings else home / ".config") / "matplotlib",
        (Path(kept) if kept else home / ".cache") / "matplotlib",
    )


def _writable(place: Path) -> bool:
    try:
        place.mkdir(parents=True, exist_ok=True)
    except OSError:
        return False
    return os.access(place, os.W_OK)
