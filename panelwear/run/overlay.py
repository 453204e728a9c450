"""The operator's overlay: what it says, where it stands, and for which part of a wait."""

from __future__ import annotations

from dataclasses import dataclass, replace

from panelwear.screen.contract import Card
from panelwear.screen.operator import Progress

FROM_S = 6.0
"""A shorter wait shows no overlay: a card that comes and goes within seconds disturbs a dark-adapted eye."""
GONE_LEAST_S = 1.0
GONE_SHARE = 0.25
"""Last part of a wait, of at least ``GONE_LEAST_S``, in which the bare patch stands: what is read has settled then."""
REMOVAL_S = 0.7
"""Longest a card takes to go: a fade of 0.3 s, drawn on a large screen (0.4 s seen on one of 1920 x 1080)."""


@dataclass(frozen=True, slots=True)
class Overlay:
    """What lies over the patch in a wait, from its beginning until ``remove_s`` before its end."""

    card: Card
    remove_s: float


def overlay_in(card: Card | None, seconds: float, corner: str) -> Overlay | None:
    """Return the overlay of a wait, or ``None`` where the wait has no room for one.

    Args:
        card: What it would say; ``None``: nothing.
        seconds: Length of the wait.
        corner: Where it does not disturb the probe.
    """
    if card is None or seconds < FROM_S:
        return None
    return Overlay(replace(card, corner=corner), max(GONE_LEAST_S, GONE_SHARE * seconds) + REMOVAL_S)


def overlay_card(progress: Progress) -> Card:
    """Make the overlay's card of one state of the run."""
    minutes = max(0, round(progress.left_s / 60))
    lines = [f"{progress.step}/{progress.steps}  {progress.what}", f"about {minutes} min left"]
    if progress.last_reading:
        lines.append(progress.last_reading)
    return Card(tuple(lines), corner="bottom-left", share_done=progress.done_share)
