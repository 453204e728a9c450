"""The invented demo scenario ``harbour-desk``: zones of a vessel-traffic desk's wall panel, and what they show.

Every number here is invented.
"""

from __future__ import annotations

from dataclasses import dataclass

from patterns.frame import Rect
from sequences.model import Zone


@dataclass(frozen=True, slots=True)
class Content:
    """What one zone of the panel shows, day in, day out."""

    zone: str
    share: tuple[float, float, float, float]
    """Left, top, right and bottom edge as shares of the panel's width and height."""
    drive_cd_m2: tuple[float, float, float]
    """For each channel: luminance of the *white* that drives the channel as hard as this content does, cd/m²."""


HARBOUR_DESK: tuple[Content, ...] = (
    # A nautical chart in mid blue-grey over most of the panel: the reference.
    Content("chart", (0.0, 0.0, 1.0, 1.0), (62.0, 74.0, 96.0)),
    # A white column with dark text over the left fifth: ages most.
    Content("vessel-list", (0.0, 0.0, 0.2, 1.0), (130.0, 130.0, 130.0)),
    # A dark box at the top right: ages least.
    Content("clock-badge", (0.86, 0.03, 0.98, 0.12), (6.0, 6.0, 6.0)),
    # A moving picture at the bottom right: ages evenly, about as the chart does.
    Content("quay-camera", (0.70, 0.62, 0.98, 0.96), (66.0, 74.0, 84.0)),
    # A light line across the chart, one centimetre high on a panel of 336 mm.
    Content("route-line", (0.2, 0.385, 1.0, 0.415), (160.0, 155.0, 140.0)),
)
"""A later zone lies over an earlier one."""

ACTIVE_AREA_MM = (597.0, 336.0)
"""Width and height of the scenario's panel."""


def harbour_desk_zones(width: int, height: int) -> tuple[Zone, ...]:
    """Give the scenario's zones in pixels of a screen, in painting order; the chart is the reference of all others."""
    zones = []
    for content in HARBOUR_DESK:
        left, top, right, bottom = content.share
        x, y = round(left * width), round(top * height)
        rect = Rect(x, y, max(1, round(right * width) - x), max(1, round(bottom * height) - y))
        reference = "" if content.zone == "chart" else "chart"
        zones.append(Zone(content.zone, rect, rect.centre, reference))
    return tuple(zones)
