"""Parts of what is said as plain data for JSON, and back: whoever reads them lays them out at a width of his own."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict
from typing import Any

from panelwear.telling.parts import Column, Exactly, Grid, Part, Prose


def as_data(parts: Iterable[Part]) -> list[dict[str, Any]]:
    """Return parts as plain data: a paragraph has ``text``, a table ``columns`` and ``rows``, fixed lines ``lines``."""
    return [_plain(part) for part in parts]


def _plain(part: Part) -> dict[str, Any]:
    if not isinstance(part, Grid):
        return asdict(part)
    return {**asdict(part), "strong": sorted(part.strong)}


def parts_from(data: Sequence[Mapping[str, Any]]) -> tuple[Part, ...]:
    """Make parts again of what ``as_data`` gave, once read from JSON.

    Raises:
        ValueError: it is no such data.
    """
    try:
        return tuple(_part(dict(one)) for one in data)
    except (TypeError, KeyError) as error:
        raise ValueError(f"no parts of what is said: {error}") from None


def _part(one: dict[str, Any]) -> Part:
    if "text" in one:
        return Prose(**one)
    if "lines" in one:
        return Exactly(**{**one, "lines": tuple(one["lines"])})
    columns = tuple(Column(**column) for column in one.pop("columns"))
    rows = tuple(tuple(row) for row in one.pop("rows"))
    return Grid(columns, rows, **{**one, "strong": frozenset(one["strong"])})
