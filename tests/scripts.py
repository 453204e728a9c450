"""The scripts of docs/, loaded as they run: with their own folder first on the path."""

from __future__ import annotations

import importlib
import sys
from pathlib import Path
from typing import Any

DOCS = Path(__file__).parents[1] / "docs"


def script(name: str) -> Any:
    """Load docs/NAME.py."""
    if str(DOCS) not in sys.path:
        sys.path.insert(0, str(DOCS))
    return importlib.import_module(name)
