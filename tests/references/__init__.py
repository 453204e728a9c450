"""Published values the formulas are tested against; each record names its source and how it is known."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

PATH = Path(__file__).parent / "check_values.json"


@cache
def _records() -> dict[str, dict[str, Any]]:
    return {record["id"]: record for record in json.loads(PATH.read_text(encoding="utf-8"))}


def value(identifier: str) -> dict[str, Any]:
    """Return the record with ``inputs``, ``expected``, ``tolerance``, ``unit``, ``source``, ``how_known``."""
    return _records()[identifier]


def values(prefix: str) -> list[dict[str, Any]]:
    """Return all records whose id begins with ``prefix``."""
    return [record for identifier, record in _records().items() if identifier.startswith(prefix)]
