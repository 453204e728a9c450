"""The simulated probe: an aperture over the pixels the screen really holds, with the faults of a real colorimeter."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from panelwear.simulation.emission import xyz_of
from panelwear.simulation.panel import XYZ, PanelState, same_picture
from patterns.frame import Picture


@dataclass(frozen=True, slots=True)
class ProbeModel:
    """What a probe adds to the light; all standard deviations, one standard uncertainty each."""

    repeatability: float
    """From reading to reading without moving, relative, of each of X, Y, Z."""
    placement: float
    """From putting it down again at the same place, relative, common to X, Y, Z (gap, tilt, pressure)."""
    session_scale: float
    """Of its calibration from checkpoint to checkpoint, relative, common to X, Y, Z."""
    session_xy: float
    """Of its chromaticity from checkpoint to checkpoint, in x and in y."""
    dark_noise_cd_m2: float
    """From reading to reading in the dark at 1 s of integration; falls with the root of the time."""
    aperture_mm: float
    placement_mm: float = 0.3
    """How far off the place it lands, in x and in y."""
    drift_per_h: float = 0.0
    """How its scale drifts within a session, relative, for each hour since the panel was switched on."""
    common: float = 0.8
    """Share of the repeatability's variance that X, Y, Z have in common (it moves luminance, not chromaticity)."""


DEFAULT_PROBE = ProbeModel(
    repeatability=0.0015,
    placement=0.0010,
    session_scale=0.005,
    session_xy=0.00025,
    dark_noise_cd_m2=0.003,
    aperture_mm=10.0,
)
"""The default simulated probe. Its numbers are invented, in the range of a good portable colorimeter."""


_ROOM_XY = (0.44, 0.41)
"""Chromaticity of the room's light: a dim warm lamp."""


@dataclass(frozen=True, slots=True)
class Session:
    """What the probe has wrong during one whole checkpoint."""

    scale: float = 1.0
    dx: float = 0.0
    dy: float = 0.0

    def distort(self, xyz: XYZ) -> XYZ:
        """Scale the light and shift its chromaticity at equal luminance."""
        total = sum(xyz)
        if total <= 0 or xyz[1] <= 0:
            return xyz
        x, y = xyz[0] / total + self.dx, xyz[1] / total + self.dy
        shifted = xyz_of((x, y), xyz[1] * self.scale)
        return (float(shifted[0]), float(shifted[1]), float(shifted[2]))


def drawn_session(model: ProbeModel, rng: np.random.Generator) -> Session:
    """Draw what the probe has wrong at one checkpoint."""
    scale, dx, dy = rng.standard_normal(3)
    return Session(1 + model.session_scale * float(scale), model.session_xy * float(dx), model.session_xy * float(dy))


class SimulatedProbe:
    """A light source for the instrument server: call it with an integration time, get X, Y, Z in cd/m².

    It sees the pixels that ``pixels`` returns at that moment, on the panel as ``state`` describes it. The same seed,
    checkpoint and order of calls give the same readings.
    """

    def __init__(
        self,
        state: PanelState,
        pixels: Callable[[], Picture],
        model: ProbeModel = DEFAULT_PROBE,
        *,
        seed: int = 0,
        checkpoint: int = 0,
        now_s: Callable[[], float] | None = None,
        room_cd_m2: float = 0.0,
    ) -> None:
        """Make a probe that lies on the panel's centre.

        Args:
            state: the panel at its present age.
            pixels: gives the pixels the screen holds now.
            model: what this probe has wrong.
            seed: of everything random.
            checkpoint: number of the checkpoint; each has its own session errors and its own noise.
            now_s: clock for the warm-up and for standing pictures, 0 when the panel was switched on; ``None``: warm.
            room_cd_m2: light of the room that the glass throws back into the probe.
        """
        self.state = state
        self.model = model
        self._pixels = pixels
        self._now_s = now_s
        self._rng = np.random.default_rng((seed, checkpoint, 3))
        self.session = drawn_session(model, np.random.default_rng((seed, checkpoint, 4)))
        self._at: tuple[float, float] | None = None
        self._placed = 1.0
        self._covered = False
        self._panel_on = True
        self._room = tuple(float(v) for v in xyz_of(_ROOM_XY, room_cd_m2))
        self._last: tuple[Picture, float] | None = None

    def put(self, at_px: tuple[float, float]) -> None:
        """Put the probe down at a place, in pixels of the screen: a fresh placement error is drawn."""
        off_mm = self.model.placement_mm * self._rng.standard_normal(2)
        wide, high = self.state.model.active_area_mm
        height, width = self._pixels().shape[:2]
        self._at = (at_px[0] + float(off_mm[0]) * width / wide, at_px[1] + float(off_mm[1]) * height / high)
        self._placed = 1 + self.model.placement * float(self._rng.standard_normal())
        self._covered = False

    def cover(self, covered: bool = True) -> None:
        """Cover the probe (it sees nothing at all), or uncover it."""
        self._covered = covered

    def switch_panel(self, on: bool) -> None:
        """Switch the panel under the probe off (only the room's light is left) or on again."""
        self._panel_on = on

    def __call__(self, integration_s: float) -> XYZ:
        """Take one reading of what the screen holds now; X, Y, Z in cd/m², in the dark sometimes below zero."""
        seen = self.session.distort(self._true())
        together, *own, dx, dy, dz = self._rng.standard_normal(7)
        common, single = math.sqrt(self.model.common), math.sqrt(1 - self.model.common)
        dark = self.model.dark_noise_cd_m2 / math.sqrt(max(integration_s, 0.01))
        on_h = 0.0 if self._now_s is None else self._now_s() / 3600
        scale = self._placed * (1 + self.model.drift_per_h * on_h)
        x, y, z = (
            value * scale * (1 + self.model.repeatability * (common * together + single * alone)) + dark * noise
            for value, alone, noise in zip(seen, own, (dx, dy, dz), strict=True)
        )
        return (float(x), float(y), float(z))

    def _true(self) -> XYZ:
        if self._covered:
            return (0.0, 0.0, 0.0)
        x, y, z = self._light() if self._panel_on else (0.0, 0.0, 0.0)
        return (x + self._room[0], y + self._room[1], z + self._room[2])

    def _light(self) -> XYZ:
        picture = self._pixels()
        if self._at is None:
            self.put((picture.shape[1] / 2, picture.shape[0] / 2))
        assert self._at is not None  # noqa: S101 - put() has just set it
        if self._now_s is None:
            return self.state.light(picture, self._at, self.model.aperture_mm)
        now = self._now_s()
        if self._last is None or not same_picture(self._last[0], picture):
            self._last = (picture if not picture.flags.writeable else picture.copy(), now)
        return self.state.light(picture, self._at, self.model.aperture_mm, on_s=now, standing_s=now - self._last[1])
