"""A sequence's steps and what they cost, as 'sequences' and '--dry-run' print them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from panelwear.telling.parts import Column, Part, grid, paragraphs

if TYPE_CHECKING:
    from sequences.estimate import Effort
    from sequences.model import Step


def step_table(steps: Iterable[Step]) -> Part:
    """Return the numbered steps."""
    from sequences.listing import rows

    return grid((Column(number=True), Column()), [(str(number), said) for number, said in rows(steps)])


def effort_parts(effort: Effort) -> list[Part]:
    """Return how long it takes and what light it costs."""
    from sequences.listing import summary

    return paragraphs(*summary(effort))
