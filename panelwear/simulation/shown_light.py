"""What the probe ``simulated`` sees in a real inspection: the frame that is shown, on the invented panel."""

from __future__ import annotations

from dataclasses import replace

from panelwear.screen.operator import Awaited
from panelwear.simulation.model import HARBOUR_DESK_PANEL
from panelwear.simulation.panel import XYZ, SimulatedPanel
from panelwear.simulation.probe import DEFAULT_PROBE, ProbeModel, SimulatedProbe
from patterns.frame import Frame, Picture
from patterns.raster import raster

DARK: XYZ = (0.0, 0.0, 0.0)


class ShownLight:
    """A light source for the simulated meter: it lies where the reading is awaited, and sees the frame shown for it.

    It knows the frame, not the screen, so it is called in the meter's own thread. Between readings it sees nothing.
    """

    def __init__(self, awaited: Awaited, aperture_mm: float = DEFAULT_PROBE.aperture_mm, seed: int = 0) -> None:
        """Make a probe that nobody has put down yet.

        Args:
            awaited: tells place and frame of the reading that is awaited.
            aperture_mm: diameter of the aperture on a panel of the size the model states.
            seed: of everything random.
        """
        self._awaited = awaited
        self._frame: Frame | None = None
        self._picture: Picture | None = None
        self._at_px: tuple[float, float] | None = None
        model: ProbeModel = replace(DEFAULT_PROBE, aperture_mm=aperture_mm)
        self._probe = SimulatedProbe(SimulatedPanel(HARBOUR_DESK_PANEL).at(0.0), self._pixels, model, seed=seed)

    def _pixels(self) -> Picture:
        if self._picture is None or self._frame is None:
            raise AssertionError("a reading is worked out only where a frame is shown")
        return self._picture

    def __call__(self, integration_s: float) -> XYZ:
        """Take one reading; X, Y, Z in cd/m²."""
        frame, at_px = self._awaited.frame, self._awaited.at_px
        if frame is None:
            return DARK
        if frame is not self._frame:
            self._frame, self._picture = frame, raster(frame)
        if at_px is not None and at_px != self._at_px:
            self._probe.put(at_px)
            self._at_px = at_px
        return self._probe(integration_s)
