"""Unworn places: where a correction of a zone's shape can lie with no known wear beneath, for shams and detection."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from patterns.frame import Rect

GROUND_SHARE = 0.3
"""A zone of more than this share of the screen is the ground others are seen on: it does not make a place worn."""


def overlaps(a: Rect, b: Rect, margin: int = 0) -> bool:
    """Tell whether two rectangles come nearer than ``margin`` pixels."""
    return (
        a.x < b.right + margin and b.x < a.right + margin and a.y < b.bottom + margin and b.y < a.bottom + margin
    )  # fmt: skip


def _candidates(zone: Rect, width: int, height: int) -> Iterator[Rect]:
    mirrored_x, mirrored_y = width - zone.right, height - zone.bottom
    for x, y in ((mirrored_x, zone.y), (zone.x, mirrored_y), (mirrored_x, mirrored_y)):
        yield Rect(x, y, zone.w, zone.h)
    columns = range(0, width - zone.w + 1, max(1, width // 24))
    rows = range(0, height - zone.h + 1, max(1, height // 16))
    for y in sorted(rows, key=lambda at: abs(at - zone.y)):
        for x in sorted(columns, key=lambda at: abs(at - (width - zone.w) // 2)):
            yield Rect(x, y, zone.w, zone.h)


def unworn_pair(
    zone: Rect, worn: Sequence[Rect], width: int, height: int, *, margin: int = 0
) -> tuple[Rect, Rect] | None:
    """Return two unworn places of the zone's size, mirrored about the middle, as near to its height as can be.

    Seen at the same angle and under the same light, so that only what is laid on tells left from right.
    """
    avoid = _worn_areas(zone, worn, width * height)
    columns = range(0, width // 2 - zone.w - margin + 1, max(1, width // 48))
    rows = (zone.y, *range(0, height - zone.h + 1, max(1, height // 24)))
    for y in sorted(rows, key=lambda at: abs(at - zone.y)):
        for x in sorted(columns, key=lambda at: abs(at + zone.w / 2 - width / 4)):
            pair = (Rect(x, y, zone.w, zone.h), Rect(width - x - zone.w, y, zone.w, zone.h))
            if not any(overlaps(place, other, margin) for place in pair for other in avoid):
                return pair
    return None


def unworn_place(zone: Rect, worn: Sequence[Rect], width: int, height: int, *, margin: int = 0) -> Rect | None:
    """Return a place of the zone's size that touches neither it nor anything worn.

    The mirrored places come first: there the zone is seen at the same angle and under the same light.
    """
    avoid = _worn_areas(zone, worn, width * height)
    for place in _candidates(zone, width, height):
        inside = place.x >= 0 and place.y >= 0 and place.right <= width and place.bottom <= height
        if inside and not any(overlaps(place, other, margin) for other in avoid):
            return place
    return None


def _worn_areas(zone: Rect, worn: Sequence[Rect], screen_area: int) -> list[Rect]:
    return [zone, *(r for r in worn if r.area <= GROUND_SHARE * screen_area)]
