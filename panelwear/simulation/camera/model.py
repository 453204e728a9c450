"""Everything that makes one simulated camera and its place before the panel. All default numbers are invented."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Bayer = Literal["RGGB", "BGGR", "GRBG", "GBRG"]
Triple = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Sensor:
    """The sensor and its electronics, by the linear model of EMVA Standard 1288."""

    size_px: tuple[int, int] = (6000, 4000)
    """Width and height."""
    pitch_um: float = 6.0
    """Distance of neighbouring camera pixels."""
    bayer: Bayer = "RGGB"
    """Filters of the 2 x 2 pixels at the top left, row by row."""
    electrons: tuple[Triple, Triple, Triple] = (
        (76_000.0, 3_300.0, 3_300.0),
        (14_000.0, 51_500.0, 44_000.0),
        (1_750.0, 3_600.0, 365_000.0),
    )
    """Electrons of a pixel behind the red, green and blue filter (rows) for 1 cd/m² of the panel's red, green and blue
    (columns) on the optical axis at f/1 in 1 s. White of 1 cd/m² gives about 42,000 behind green, so that the full well
    is reached at ISO 100 by the exposure of ISO 12232 (``sequences.exposure``)."""
    gain_dn_per_e: float = 0.32
    """K of EMVA 1288: digital number for each electron."""
    full_well_e: float = 50_000.0
    read_noise_e: float = 3.5
    """Temporal noise in the dark, electrons, before quantisation."""
    offset_dn: int = 512
    """What black gives on average."""
    bits: int = 14
    prnu: float = 0.008
    """Standard deviation from pixel to pixel of the response, relative."""
    dsnu_e: float = 1.5
    """Standard deviation from pixel to pixel of the dark signal, electrons."""
    dead_share: float = 2e-6
    """Pixels that see nothing."""
    hot_share: float = 1e-5
    """Pixels with much dark current."""
    hot_e_per_s: float = 8_000.0
    readout_s: float = 0.02
    """Time from the first row's exposure to the last row's: a rolling shutter; 0: all rows at once."""
    seed: int = 3
    """Of the fixed pattern: the same seed is the same sensor."""

    @property
    def white_dn(self) -> int:
        """Return the digital number at which the first of electronics and full well saturate."""
        most: int = 2**self.bits - 1
        return min(most, int(self.offset_dn + self.gain_dn_per_e * self.full_well_e))


@dataclass(frozen=True, slots=True)
class Lens:
    """The lens: what it does to places, to light towards the corners, and to sharpness."""

    focal_mm: float = 50.0
    k1: float = -0.03
    """Radial distortion (Brown 1966): d' = c + (d - c)(1 + k1 r² + k2 r⁴), r in half diagonals of the sensor."""
    k2: float = 0.004
    f_number: float = 8.0
    widest_f_number: float = 1.8
    vignetting: float = 0.35
    """Share of light the barrel takes in the corner with the aperture wide open, besides cos⁴; falls with its area."""
    blur_px: float = 0.9
    """Standard deviation of the blur in camera pixels, focus included unless ``disc_px`` has it."""
    disc_px: float = 0.0
    """Diameter in camera pixels of the even disc that a point out of focus becomes, beside the blur; 0: none."""
    glare: float = 0.0
    """Share of the frame's mean light that is spread evenly over it."""


@dataclass(frozen=True, slots=True)
class Pose:
    """Where the camera stands: it looks at the panel's middle from straight in front unless said."""

    fill: float = 0.85
    """Share of the frame's width or height, whichever is more, that the panel fills."""
    shift: tuple[float, float] = (0.0, 0.0)
    """Where the panel's middle lies in the frame, as a share of its width and height from the middle."""
    tilt_deg: float = 0.0
    """How far the camera looks at the panel from below or above."""
    turn_deg: float = 0.0
    """How far it looks from the side."""
    roll_deg: float = 0.0
    """How far the camera is turned about its own axis."""
    mirrored: bool = False
    """Seen in a mirror."""


@dataclass(frozen=True, slots=True)
class Flicker:
    """How the panel's light goes up and down with each refresh."""

    frequency_hz: float = 60.0
    modulation: float = 0.1
    """Amplitude of the light's first harmonic, as a share of its mean."""


@dataclass(frozen=True, slots=True)
class SubPixels:
    """Where the luminous areas lie within a panel pixel, in its width and height: middle x, middle y, width, height."""

    red: tuple[float, float, float, float] = (1 / 6, 0.5, 0.24, 0.80)
    green: tuple[float, float, float, float] = (0.5, 0.5, 0.24, 0.80)
    blue: tuple[float, float, float, float] = (5 / 6, 0.5, 0.24, 0.80)


@dataclass(frozen=True, slots=True)
class CameraModel:
    """One camera with its lens; ``make`` and ``model`` are what it writes into its files."""

    sensor: Sensor = field(default_factory=Sensor)
    lens: Lens = field(default_factory=Lens)
    make: str = "simulated"
    model: str = "simulated camera"
    iso: int = 100


FULL_CAMERA = CameraModel()
"""24 megapixels."""
SMALL_CAMERA = CameraModel(sensor=Sensor(size_px=(1500, 1000), pitch_um=24.0))
"""A sensor of the same size with few pixels, for a panel of 960 x 540: whatever takes seconds is done in one."""

FILTERS = "RGB"


def filter_index(bayer: Bayer) -> NDArray[np.intp]:
    """Return which filter (0 red, 1 green, 2 blue) lies over the 2 x 2 pixels at the top left, ``(2, 2)``."""
    return np.array([FILTERS.index(letter) for letter in bayer], dtype=np.intp).reshape(2, 2)
