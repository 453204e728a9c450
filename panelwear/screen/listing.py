"""Which rows of a long list are seen: whole pages of it, so that nothing moves under a hand while it stays on one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from panelwear.screen.blocks import Block
from panelwear.screen.pen import Pen


@dataclass(frozen=True, slots=True)
class Seen:
    """A stretch of blocks that is seen, and how many rows there are above and below it."""

    blocks: tuple[Block, ...]
    above: int = 0
    below: int = 0


def height_of(pen: Pen, blocks: Sequence[Block], *, first_gap: bool = False) -> int:
    """Add up blocks under each other with the spaces between them, and the one above the first if it counts."""
    gaps = sum(pen.apart(block.gap) for block in (blocks if first_gap else blocks[1:]))
    return sum(block.height for block in blocks) + gaps


def pages_of(pen: Pen, blocks: Sequence[Block], room: int) -> list[tuple[Block, ...]]:
    """Part blocks into pages that fit; a heading stays with what it leads; one too high for any stands alone."""
    pages: list[list[Block]] = [[]]
    for block in blocks:
        page = pages[-1]
        if page and height_of(pen, [*page, block]) > room:
            led: list[Block] = []
            while len(page) > 1 and page[-1].leads:
                led.insert(0, page.pop())
            pages.append([*led])
        pages[-1].append(block)
    return [tuple(page) for page in pages]


def seen(pen: Pen, blocks: Sequence[Block], room: int, chosen: str) -> Seen:
    """Choose the page with the chosen row; signs of more take a line above and one below."""
    if height_of(pen, blocks) <= room:
        return Seen(tuple(blocks))
    pages = pages_of(pen, blocks, room - 2 * pen.small.line_px)
    at = next((n for n, page in enumerate(pages) if any(chosen in block.ids for block in page)), 0)
    rows = [sum(len(block.ids) for block in page) for page in pages]
    return Seen(pages[at], sum(rows[:at]), sum(rows[at + 1 :]))
