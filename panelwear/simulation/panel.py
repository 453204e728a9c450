"""The simulated panel: what light leaves it, where, when it shows given pixels after given hours of use."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from panelwear.simulation.ageing import Compensation
from panelwear.simulation.aperture import Seen, seen_pixels
from panelwear.simulation.behaviour import LOAD_WEIGHTS
from panelwear.simulation.emission import Emission, Spot, emission_of
from panelwear.simulation.model import HARBOUR_DESK_PANEL, PanelModel
from patterns.frame import Picture

Real = NDArray[np.float64]

XYZ = tuple[float, float, float]


class SimulatedPanel:
    """A panel over its whole life; ``at`` gives it at one age."""

    def __init__(self, model: PanelModel = HARBOUR_DESK_PANEL) -> None:
        self.model = model
        self.emission: Emission = emission_of(model)

    def at(self, hours: float, cycles: Sequence[Compensation] = ()) -> PanelState:
        """Give the panel after some hours of use and the compensation cycles run until then."""
        return PanelState(self, hours, tuple(cycles))


class PanelState:
    """A panel at one age. Nothing in it changes; caches only."""

    def __init__(self, panel: SimulatedPanel, hours: float, cycles: tuple[Compensation, ...] = ()) -> None:
        self.panel = panel
        self.model = panel.model
        self.hours = hours
        self.cycles = cycles
        self._seen: tuple[object, Seen, Spot] | None = None
        self._load: tuple[Picture, float] | None = None

    def spot(self, x: Real, y: Real) -> Spot:
        """Give wear and broad unevenness at shares of width and height, ``(n,)`` each."""
        model, wear = self.model, self.model.ageing
        rate = wear.dose_rate(x, y, model.usage, model.active_area_mm[0] / model.active_area_mm[1])
        broad = model.uniformity.broad(x, y)
        four = np.column_stack([broad, broad.mean(axis=1)])
        gain = wear.emitters(rate, self.hours, self.cycles) * four
        return Spot(gain, wear.backplane(rate, self.hours, self.cycles))

    def pixel_spot(self, seen: Seen, width: int, height: int) -> Spot:
        """Give wear and unevenness of single pixels, grain included."""
        spot = self.spot((seen.columns + 0.5) / width, (seen.rows + 0.5) / height)
        grain = self.model.uniformity.grain_at(seen.columns, seen.rows)
        return Spot(spot.gain * np.column_stack([grain, grain.mean(axis=1)]), spot.backplane)

    def load(self, picture: Picture) -> float:
        """Give the load of a picture, 0..1: its mean linear drive, weighted by what each channel draws."""
        if self._load is None or not same_picture(self._load[0], picture):
            kept = picture if not picture.flags.writeable else picture.copy()
            self._load = (kept, _load(picture, self.panel.emission.curves))
        return self._load[1]

    def light(
        self,
        picture: Picture,
        at_px: tuple[float, float],
        aperture_mm: float = 10.0,
        *,
        on_s: float = math.inf,
        standing_s: float = 0.0,
    ) -> XYZ:
        """Give the tristimulus values a perfect probe reads of a picture on this panel.

        Args:
            picture: the pixels the screen holds, ``(height, width, 3)``.
            at_px: centre of the aperture; pixel edges are whole numbers.
            aperture_mm: diameter of the aperture.
            on_s: time since the panel was switched on; infinite: warmed up.
            standing_s: time since the picture last changed.

        Returns:
            X, Y, Z in cd/m². Where the aperture hangs over the edge of the panel that part is dark.
        """
        seen, spot = self._under(at_px, aperture_mm, picture.shape[1], picture.shape[0])
        codes = picture[seen.rows, seen.columns]
        drive = self.panel.emission.curves[np.arange(3), codes]
        emitted = seen.weights @ self._warmed(drive, spot, on_s)
        factor = float(self.model.limiter.gain(self.load(picture)))
        if self.model.dimming is not None:
            factor *= float(self.model.dimming.gain(standing_s))
        x, y, z = emitted * factor + self.panel.emission.black * seen.weights.sum()
        return (float(x), float(y), float(z))

    def _warmed(self, drive: Real, spot: Spot, on_s: float) -> Real:
        if math.isinf(on_s):
            return self.panel.emission.light(drive, spot)
        warm = self.model.warm_up.gain(on_s)
        four = np.append(warm, warm.mean())
        return self.panel.emission.light(drive, Spot(spot.gain * four, spot.backplane))

    def _under(self, at_px: tuple[float, float], aperture_mm: float, width: int, height: int) -> tuple[Seen, Spot]:
        key = (at_px, aperture_mm, width, height)
        if self._seen is None or self._seen[0] != key:
            wide, high = self.model.active_area_mm
            seen = seen_pixels(at_px, (aperture_mm * width / wide, aperture_mm * height / high), width, height)
            self._seen = (key, seen, self.pixel_spot(seen, width, height))
        return self._seen[1], self._seen[2]


def same_picture(one: Picture, other: Picture) -> bool:
    """Tell whether two pictures hold the same pixels; at once for one that cannot be written to."""
    if one is other and not one.flags.writeable:
        return True
    return one.shape == other.shape and bool(np.array_equal(one, other))


def _load(picture: Picture, curves: Real) -> float:
    # Most patterns are runs of equal rows: each run is looked at once.
    rows = picture.reshape(picture.shape[0], -1)
    starts = np.concatenate([[0], np.flatnonzero((rows[1:] != rows[:-1]).any(axis=1)) + 1])
    lengths = np.diff(np.append(starts, len(rows)))
    total = 0.0
    for channel, weight in enumerate(LOAD_WEIGHTS):
        by_row = curves[channel][picture[starts, :, channel]].mean(axis=1)
        total += weight * float(by_row @ lengths) / len(rows)
    return total
