"""The light at one place of a real X screen: grabs the pixels the display server holds and simulates a panel there."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from panelwear.errors import ScreenFault
from panelwear.simulation.model import HARBOUR_DESK_PANEL, PanelModel
from panelwear.simulation.panel import XYZ, SimulatedPanel
from panelwear.simulation.probe import DEFAULT_PROBE, ProbeModel, SimulatedProbe
from patterns.frame import Picture


def grab(display: str) -> Picture:
    """Copy what an X display holds, ``(height, width, 3)`` uint8. Raises ``ScreenFault`` when there is none."""
    from PIL import ImageGrab

    try:
        image = ImageGrab.grab(xdisplay=display)
    except OSError as error:
        raise ScreenFault(f"the X display '{display}' cannot be looked at ({error}); is it there?") from error
    return np.asarray(image.convert("RGB"))


class ScreenLight:
    """A simulated probe on a real X screen: each call looks at the screen anew.

    Without a place it lies in the centre. It knows nothing of what the program under test asked for.
    """

    def __init__(
        self,
        display: str,
        at_px: tuple[float, float] | None = None,
        aperture_mm: float = DEFAULT_PROBE.aperture_mm,
        seed: int = 0,
        hours: float = 0.0,
        *,
        panel: PanelModel = HARBOUR_DESK_PANEL,
        probe: ProbeModel = DEFAULT_PROBE,
    ) -> None:
        """Make a probe on a screen.

        Args:
            display: the X display, such as ``:99``.
            at_px: centre of the probe in pixels of the screen.
            aperture_mm: diameter of the aperture on a panel of the size ``panel`` states.
            seed: of everything random.
            hours: hours of use of the simulated panel.
            panel: the simulated panel; its active area is stretched over the whole screen.
            probe: the simulated probe.
        """
        self.display = display
        self.probe = SimulatedProbe(
            SimulatedPanel(panel).at(hours), self._pixels, replace(probe, aperture_mm=aperture_mm), seed=seed
        )
        if at_px is not None:
            self.probe.put(at_px)

    def _pixels(self) -> Picture:
        return grab(self.display)

    def put(self, at_px: tuple[float, float]) -> None:
        """Move the probe; a fresh placement error is drawn."""
        self.probe.put(at_px)

    def __call__(self, integration_s: float) -> XYZ:
        """Take one reading; X, Y, Z in cd/m²."""
        return self.probe(integration_s)
