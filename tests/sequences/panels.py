"""Panels the sequences are tried on; all invented."""

from __future__ import annotations

from patterns.frame import Rect
from sequences.model import PanelFacts, Zone

SIZES = ((1280, 720), (1366, 768), (3840, 2160))


def harbour_desk(width: int = 1280, height: int = 720, aperture_mm: float | None = None) -> PanelFacts:
    """Return the invented panel of the demo scenario, drawn for any size."""

    def rect(x: float, y: float, w: float, h: float) -> Rect:
        return Rect(round(x * width), round(y * height), max(round(w * width), 1), max(round(h * height), 1))

    def zone(name: str, at: Rect, reference: str = "chart") -> Zone:
        return Zone(name, at, at.centre, reference)

    chart = Zone("chart", rect(0.2, 0, 0.8, 1), (0.5 * width, 0.5 * height))
    zones = (
        chart,
        zone("vessel-list", rect(0, 0, 0.2, 1)),
        zone("clock-badge", rect(0.85, 0.02, 0.13, 0.14)),
        zone("quay-camera", rect(0.7, 0.68, 0.28, 0.3)),
        zone("route-line", rect(0.39, 0.2, 10 / 596, 0.6)),
    )
    return PanelFacts(width, height, (596.0, 596.0 * height / width), zones=zones, aperture_mm=aperture_mm)
