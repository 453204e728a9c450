"""A comparison's record, as ``panelwear compare --json`` writes it, as paragraphs and rows of a page."""

from __future__ import annotations

import json
from collections.abc import Sequence

from panelwear.start.told import Block
from panelwear.telling.parts import Exactly, Grid, Part, Prose
from panelwear.telling.record import parts_from

SAID = "said"
"""Key of the record under which stands what a person reads."""
NOTHING = "—"
"""A cell of a table without a value."""


def said_in(record: str) -> tuple[Part, ...] | None:
    """Return what a person reads of a record; ``None`` where there is none: the command said why in sentences."""
    try:
        return parts_from(json.loads(record)[SAID])
    except (ValueError, TypeError, KeyError):
        return None


def blocks_of_parts(parts: Sequence[Part]) -> tuple[Block, ...]:
    """Make paragraphs, and of each row of a table one of the page: its first three cells, the others as a note."""
    found: list[Block] = []
    for part in parts:
        match part:
            case Prose(text):
                found.append(Block((text,)))
            case Exactly(lines):
                found += [Block((line,)) for line in lines]
            case Grid():
                found += [_row(part, row) for row in part.rows]
    return tuple(found)


def _row(table: Grid, row: Sequence[str]) -> Block:
    label, *rest = (cell.strip() for cell in row)
    titles = [column.title for column in table.columns[3:]]
    others = [f"{title} {cell}" for title, cell in zip(titles, rest[2:], strict=True) if cell != NOTHING]
    return Block((label, *others, *rest[:2]))
