"""A small camera before a small panel: whatever takes a second at full size is done at once."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

from panelwear.simulation.camera.exif import Exif
from panelwear.simulation.camera.model import SMALL_CAMERA, CameraModel, Lens, Sensor
from panelwear.simulation.camera.surface import PanelSurface
from panelwear.simulation.model import HARBOUR_DESK_PANEL, PanelModel
from panelwear.simulation.panel import SimulatedPanel

SIZE = (960, 540)
TAKEN = datetime(2026, 1, 5, 18, 30, 12, tzinfo=UTC)
EXIF = Exif(exposure_s=0.25, f_number=8.0, iso=100, focal_mm=50.0, taken=TAKEN)
PLAIN_LENS = Lens(k1=0.0, k2=0.0, vignetting=0.0)


def camera(sensor: Sensor | None = None, **lens: float) -> CameraModel:
    """Give a small camera with some of its lens changed."""
    return replace(SMALL_CAMERA, sensor=sensor or SMALL_CAMERA.sensor, lens=replace(SMALL_CAMERA.lens, **lens))


def surface(hours: float = 0.0, size: tuple[int, int] = SIZE, model: PanelModel = HARBOUR_DESK_PANEL) -> PanelSurface:
    """Give the light of the demo panel at some age."""
    return PanelSurface(SimulatedPanel(model).at(hours), size)
