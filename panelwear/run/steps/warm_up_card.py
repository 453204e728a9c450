"""What a warm-up says of itself: what it waits for, how long it has taken and at most takes; the words wander."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from panelwear.screen.contract import Card, far_corner
from sequences.model import Place

if TYPE_CHECKING:
    from panelwear.panel.steady import Sample

STANDS_S = 10.0
"""The card stands in one corner for so long, so that no point of the panel stays dark under it."""
ROUND = ("bottom-left", "bottom-right", "top-right", "top-left")


def corner_at(passed_s: float, place: Place | None, size: tuple[int, int]) -> str:
    """Return the card's corner after so many seconds; the one the probe sits in is passed over.

    Args:
        passed_s: Of the warm-up.
        place: Where the probe sits.
        size: Of the screen, pixels.
    """
    corners: tuple[str, ...] = ROUND
    if place is not None:
        near = far_corner((size[0] - place.at_px[0], size[1] - place.at_px[1]), *size)
        middle = all(0.25 < at / whole < 0.75 for at, whole in zip(place.at_px, size, strict=True))
        corners = ROUND if middle else tuple(corner for corner in ROUND if corner != near)
    return corners[int(passed_s // STANDS_S) % len(corners)]


def warm_up_card(
    left_s: float, until: str, minutes: tuple[float, float, float], samples: Sequence[Sample], corner: str
) -> Card:
    """Make the card of one moment.

    Args:
        left_s: Seconds to the next look, or to the end.
        until: Which of the two: "to the next look", "left".
        minutes: Taken so far, at least, at most; without readings the last two are the same.
        samples: Looks so far.
        corner: Where it stands.
    """
    taken, least, most = minutes
    clock = f"{int(left_s // 60)}:{int(left_s % 60):02d}"
    if most > least or samples:
        from panelwear.panel.steady import waits_for

        waits = waits_for(samples)
        told = [f"waits for {waits.for_what}"]
        told += [f"light: {waits.light}"] if waits.light else []
        told += [f"colour: {waits.colour}"] if waits.colour else []
        how_long = f"{math.floor(taken)} min taken, at least {least:g} min, at most {most:g} min"
    else:
        told, how_long = ["by time: nothing reads whether the panel is steady"], f"{math.floor(taken)} of {most:g} min"
    return Card((*told, how_long, "p pauses, h shows the keys"), title=f"Warm-up, {clock} {until}", corner=corner)
