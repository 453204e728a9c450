"""Faults of ``marks.csv`` and ``matches.csv``, all at once, for ``panelwear check``."""

from __future__ import annotations

import csv
from pathlib import Path

from panelwear.errors import FileFault
from panelwear.readings import records, store
from panelwear.readings.marks import KINDS, STRENGTHS, Mark
from panelwear.readings.matches import METHODS, MatchResult


def looks_like(path: Path) -> type[Mark] | type[MatchResult] | None:
    """Tell which of the two files this is, by its header line."""
    first = path.read_bytes()[:4096].decode("utf-8", "replace").splitlines()[:1]
    header = next(csv.reader(first), [])
    return next((kind for kind in (Mark, MatchResult) if records.is_header(header, kind)), None)


def faults(path: Path) -> tuple[str, ...]:
    """Return every fault of a marks or matches file, each with record and column."""
    kind = looks_like(path)
    try:
        if kind is MatchResult:
            return tuple(
                fault for n, row in enumerate(store.read(path, MatchResult), 2) for fault in _match(path.name, n, row)
            )
        return tuple(fault for n, row in enumerate(store.read(path, Mark), 2) for fault in _mark(path.name, n, row))
    except FileFault as error:
        return error.problems


def _mark(file: str, record: int, row: Mark) -> list[str]:
    found = []
    for column, value, allowed in (
        ("kind", row.kind, KINDS),
        ("strength", row.strength, STRENGTHS),
        ("shape", row.shape, ("rect", "line")),
    ):
        if value not in allowed:
            found.append(f"{file}: record {record}: {column}: '{value}' is not one of {', '.join(allowed)}")
    if not 0 <= row.code <= 255:
        found.append(f"{file}: record {record}: code: {row.code:g} is outside 0..255")
    return found


def _match(file: str, record: int, row: MatchResult) -> list[str]:
    found = []
    if row.method not in METHODS:
        found.append(f"{file}: record {record}: method: '{row.method}' is not one of {', '.join(METHODS)}")
    try:
        if row.rect.w < 1 or row.rect.h < 1:
            found.append(f"{file}: record {record}: rect_px: '{row.rect_px}' has no pixels")
    except ValueError:
        found.append(
            f"{file}: record {record}: rect_px: '{row.rect_px}' is not four whole numbers: left top width height"
        )
    if row.low_percent is not None and row.high_percent is not None and row.low_percent > row.high_percent:
        found.append(f"{file}: record {record}: low_percent is above high_percent")
    return found
