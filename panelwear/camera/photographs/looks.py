"""What a photograph seems to be of, from its light alone: dots, staircase, black, a field of some colour, a surface."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import cast

import numpy as np
from numpy.typing import NDArray

from panelwear.camera.photographs.dots import found_spots
from panelwear.camera.photographs.lattice import assigned
from panelwear.camera.photographs.photograph import COLOURS, Colour, Photograph, Taken, green_picture
from panelwear.camera.shots import Channel, ShootLabel, ShotKind, label_of
from panelwear.extras import needing

Real = NDArray[np.float32]
SMALL_PX = 300
"""A frame is looked at in about so many pixels across."""
BLACK_SHARE = 0.002
"""Of the sensor's range: a frame whose brightest parts are below is black."""
CODE_SHARE = 0.4
"""A title card lights less than this of a frame."""
SPARSE = 0.12
"""Share of the frame that is lit, below which it is no field."""
UNEVEN, WAVES = 0.5, 10
"""The lit part of a field differs by less than this share of its light, if need be in blocks of so many pixels."""
DOTS_SEEN = 54
CODE_PX = 2200
_LIKENESS: dict[Channel, tuple[float, float]] = {
    "grey": (-0.5, -0.3), "red": (1.5, -2.0), "green": (-2.5, -2.5), "blue": (-2.2, 2.0)
}  # fmt: skip
"""Logarithm of red and blue over green of usual cameras, balanced to white or not (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Look:
    """What one photograph seems to be."""

    kind: ShotKind | None
    channel: Channel | None = None
    """Of a field; ``None`` where the camera sees no colours."""
    brightness: float | None = None
    """Of a field: numbers of its own colour for one unit of exposure; ``None`` where the exposure is not told."""
    label: ShootLabel | None = None
    taken: Taken = field(default_factory=Taken)


def look_at(photo: Photograph) -> Look:
    """Say what a photograph seems to be of; a title card only where its code can be read."""
    small = {colour: _small(photo, n) for n, colour in enumerate(COLOURS)}
    levels = np.array([_level(one) for one in small.values()])
    brightest = max(small.values(), key=lambda one: float(np.percentile(one, 98)))
    if float(np.percentile(brightest, 99.5)) < BLACK_SHARE:
        return Look("black", taken=photo.taken)
    bright = float(np.percentile(brightest, 99))
    lit = brightest > 0.3 * bright
    border = np.concatenate([brightest[:3].ravel(), brightest[-3:].ravel(), brightest[:, :3].ravel(),
                             brightest[:, -3:].ravel()])  # fmt: skip
    # Where black is cut off at 0, as raw converters do, most of a picture of dots is noise, and as light as its border.
    if float(np.median(border)) > 0.35 * max(float(levels.max()), bright):
        return Look("even-surface", taken=photo.taken)
    # A bright code is as even as a field in few pixels, but fills little of the frame.
    label = label_in(green_picture(photo)[0]) if lit.mean() < CODE_SHARE else None
    if label is not None:
        return Look("title-card", label=label, taken=photo.taken)
    if lit.mean() > SPARSE and _is_even(brightest, lit):
        return _field(photo, levels)
    return _drawn(photo, is_sparse=lit.mean() <= SPARSE)


def _is_even(picture: Real, lit: NDArray[np.bool_]) -> bool:
    """Tell a field from a staircase; strong moire is averaged away, which leaves the steps of a staircase."""
    from scipy.ndimage import binary_erosion

    rows, columns = (side // WAVES * WAVES for side in picture.shape)
    blocks = picture[:rows, :columns].reshape(rows // WAVES, WAVES, columns // WAVES, WAVES).mean(axis=(1, 3))
    # Blocks at the panel's edge are half dark. All but black counts: the bright half of a staircase is nearly even once
    # a tone curve has made its lights alike.
    inside = binary_erosion(blocks > 0.05 * np.percentile(blocks, 99))
    for light, there in ((picture, lit), (blocks, inside)):
        inner = light[there]
        if len(inner) and np.percentile(inner, 90) - np.percentile(inner, 10) < UNEVEN * np.median(inner):
            return True
    return False


def _field(photo: Photograph, levels: NDArray[np.float64]) -> Look:
    channel = _channel(levels) if len(photo.planes) > 1 else None
    own = float(levels.max() if channel in {"grey", None} else levels[list(COLOURS).index(cast(Colour, channel))])
    # Dark fields are exposed longer, so without the exposure a number tells nothing of the light.
    exposed = photo.taken.sensitivity
    return Look("field", channel, None if exposed is None else own / exposed, taken=photo.taken)


def _drawn(photo: Photograph, *, is_sparse: bool) -> Look:
    """Tell dots and staircase apart."""
    picture, _ = green_picture(photo)
    if (assigned(found_spots(picture)) >= 0).sum() >= DOTS_SEEN:
        return Look("dots", taken=photo.taken)
    return Look(None if is_sparse else "stairs", taken=photo.taken)


def _small(photo: Photograph, which: int) -> Real:
    """Return one colour in few pixels, as a share of the sensor's range."""
    plane = photo.of_colour(COLOURS[which])[0]
    factor = max(1, plane.stored.shape[1] // SMALL_PX)
    rows, columns = (side // factor * factor for side in plane.stored.shape)
    # Every other row is enough, and halves the time.
    light = plane.light(slice(0, rows, 2 if factor > 1 else 1), slice(0, columns))
    down = factor // 2 if factor > 1 else 1
    light = light[: light.shape[0] // down * down]
    parts = light.reshape(light.shape[0] // down, down, columns // factor, factor)
    full = 1.0 if plane.curve is not None else plane.white - plane.black
    return np.asarray(parts.mean(axis=(1, 3)) / np.float32(full))


def _level(small: Real) -> float:
    """Return the usual light of the lit part."""
    return max(1e-9, float(np.median(small[small > 0.5 * np.percentile(small, 95)])))


def _channel(levels: NDArray[np.float64]) -> Channel:
    red, blue = np.log(levels[0] / levels[1]), np.log(levels[2] / levels[1])
    return min(_LIKENESS, key=lambda name: (red - _LIKENESS[name][0]) ** 2 + (blue - _LIKENESS[name][1]) ** 2)


def label_in(picture: Real) -> ShootLabel | None:
    """Read the label off a photograph of a title card; ``None`` where there is none, or it cannot be read."""
    with needing("the camera"):
        import zxingcpp
    factor = max(1, picture.shape[1] // CODE_PX)
    rows, columns = (side // factor * factor for side in picture.shape)
    small = picture[:rows, :columns].reshape(rows // factor, factor, columns // factor, factor).mean(axis=(1, 3))
    full = float(np.percentile(small, 99.7))
    if full <= 0:
        return None
    # The root lifts what is dim, so that a card darker towards one side can be read; the square parts modules that ran
    # into each other where the card was exposed too long.
    for power in (0.5, 1.0, 2.0):
        grey = np.round(255 * np.clip(small / full, 0, 1) ** power).astype(np.uint8)
        for one in zxingcpp.read_barcodes(grey, formats=zxingcpp.BarcodeFormats([zxingcpp.BarcodeFormat.QRCode])):
            label = label_of(one.text)
            if label is not None:
                return label
    return None
