"""A probe with a disc aperture on a screen with a limiter, looking at the pixels of frames."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from panelwear.panel.locate import Seat, locate
from panelwear.panel.placement import NotFound, PlacementFound
from patterns.frame import Frame, Picture
from patterns.raster import raster

FINE = 5
LIGHT_OF_CODE = ((np.arange(256) / 255.0) ** 2.2).astype(np.float32)


@dataclass(slots=True)
class SimulatedProbe:
    """Sees the light of the pixels under its disc; the light of one pixel is a power of its code."""

    centre_mm: tuple[float, float]
    aperture_mm: float
    pitch_mm: tuple[float, float]
    rng: np.random.Generator
    noise: float = 0.005
    limiter: float = 0.6
    """Full white over the whole screen is held to this share of the small-window light."""
    peak_cd_m2: float = 250.0
    stray_cd_m2: float = 0.01
    softness_mm: float = 0.0
    """Width over which the sensitivity falls off at the rim."""
    drift_per_reading: float = 0.0
    readings: int = 0
    loads: list[float] = field(default_factory=list)

    def weights(self, width: int, height: int) -> tuple[np.ndarray, slice, slice]:
        """Sensitivity of each pixel in the square round the disc, sub-sampled."""
        r = self.aperture_mm / 2 + self.softness_mm
        (cx, cy), (px, py) = self.centre_mm, self.pitch_mm
        x0, x1 = max(math.floor((cx - r) / px), 0), min(math.ceil((cx + r) / px), width)
        y0, y1 = max(math.floor((cy - r) / py), 0), min(math.ceil((cy + r) / py), height)
        if x1 <= x0 or y1 <= y0:
            return np.zeros((0, 0)), slice(0, 0), slice(0, 0)
        k = FINE
        xs = (np.arange(x0 * k, x1 * k) + 0.5) / k * px - cx
        ys = (np.arange(y0 * k, y1 * k) + 0.5) / k * py - cy
        distance = np.hypot(xs[None, :], ys[:, None])
        if self.softness_mm:
            inside = np.clip((self.aperture_mm / 2 - distance) / self.softness_mm + 0.5, 0, 1)
        else:
            inside = (distance <= self.aperture_mm / 2).astype(np.float64)
        return inside.reshape(y1 - y0, k, x1 - x0, k).sum(axis=(1, 3)), slice(y0, y1), slice(x0, x1)

    def look(self, frame: Frame) -> float:
        """Luminance of one reading of a frame in cd/m²."""
        return self.see(raster(frame))

    def see(self, picture: Picture) -> float:
        """Luminance of one reading of a picture in cd/m²; grey pixels are expected."""
        self.readings += 1
        light = LIGHT_OF_CODE[picture[:, :, 0]]
        load = float(light.mean(dtype=np.float64))
        self.loads.append(load)
        factor = min(1.0, self.limiter / load) if load > 0 else 1.0
        weights, rows, columns = self.weights(picture.shape[1], picture.shape[0])
        whole = math.pi * (self.aperture_mm / 2) ** 2 / (self.pitch_mm[0] * self.pitch_mm[1]) * FINE**2
        seen = (
            float((weights * light[rows, columns]).sum()) / (weights.sum() if self.softness_mm else whole)
            if weights.size
            else 0.0
        )
        drift = 1 + self.drift_per_reading * self.readings
        value = self.stray_cd_m2 + self.peak_cd_m2 * factor * seen * drift
        return value * (1 + self.rng.normal(0, self.noise))


def find(
    probe: SimulatedProbe, size_px: tuple[int, int], codes: tuple[float, float] = (89.0, 46.0)
) -> tuple[PlacementFound | NotFound, list[Frame]]:
    """Run the search against a simulated probe; also return all frames shown."""
    sides = tuple((code,) * 3 for code in codes)
    search = locate(Seat("centre", size_px, probe.pitch_mm, sides))  # type: ignore[arg-type]
    frames: list[Frame] = []
    look = next(search)
    while True:
        frames.append(look.frame)
        try:
            look = search.send(probe.look(look.frame) if look.read else float("nan"))
        except StopIteration as end:
            return end.value, frames
