"""A lit panel as the camera's three filters see it, on the panel's own pixels, blur included."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelwear.simulation.camera.geometry import View
from panelwear.simulation.camera.model import CameraModel, Lens, SubPixels
from panelwear.simulation.camera.subpixels import SMALLEST, Harmonic, areas, harmonics, mtf, offset_px
from panelwear.simulation.camera.surface import Light, PanelSurface

Real = NDArray[np.float64]
Map = NDArray[np.float32]
_FINE = 16
"""Points across a panel pixel with which a disc is drawn."""


@dataclass(slots=True, eq=False)
class Seen:
    """What stands on the panel, behind each filter: electrons for f/1 and 1 s on the axis."""

    images: tuple[Map, Map, Map]
    """Behind red, green and blue, with a dark margin."""
    margin: int
    offset_px: Real
    """By how much the light behind each filter lies off the middles of the panel's pixels, ``(3, 2)`` (x, y)."""
    harmonics: list[Harmonic]

    def at(self, which: int, u: Map, v: Map) -> Map:
        """Return the light behind one filter at places of the panel, interpolated linearly."""
        from scipy import ndimage

        # The middle of the image's first pixel is at 0.5 on the panel and at 0 in the array.
        across, down = (np.float32(self.margin - 0.5 - shift) for shift in self.offset_px[which])
        out = np.empty(u.shape, dtype=np.float32)
        ndimage.map_coordinates(self.images[which], np.stack([v + down, u + across]), output=out, order=1, cval=0.0)
        return out

    def contrasts(self, gradients: Real, lens: Lens) -> list[Map]:
        """Keep the harmonics that are left behind the blur, and return the contrast of each at places of the frame."""
        there = [(one, mtf(gradients, one.across, one.down, lens.blur_px, lens.disc_px)) for one in self.harmonics]
        kept = [(one, m) for one, m in there if float(np.abs(m).max() * np.abs(one.amplitude).max()) > SMALLEST]
        self.harmonics = [one for one, _ in kept]
        return [m.astype(np.float32) for _, m in kept]


def seen_of(
    light: Light,
    surface: PanelSurface,
    camera: CameraModel,
    view: View,
    *,
    layout: SubPixels,
    black_cd_m2: float,
) -> Seen:
    """See a lit panel through the camera's filters.

    Args:
        light: of each pixel by channel, as ``PanelSurface.light`` gives it.
        surface: whose light it is.
        camera: filters and blur.
        view: where it stands.
        layout: where the sub-pixels lie.
        black_cd_m2: white light added everywhere on the panel, and nowhere else.
    """
    from scipy import ndimage

    response = responses(camera, surface)
    sigma = blur_on_panel(camera, view, layout)
    disc = disc_on_panel(camera, view)
    margin = int(np.ceil(4 * sigma.max())) + len(disc) + 2
    black = black_cd_m2 * white_response(camera, surface)
    images = []
    for which in range(3):
        one = np.full(light.shape[1:], black[which], dtype=np.float32)
        for channel, each in enumerate(light):
            one += np.float32(response[which, channel]) * each
        soft = ndimage.gaussian_filter(np.pad(one, margin), sigma[::-1], mode="constant")
        images.append(ndimage.convolve(soft, disc, mode="constant") if len(disc) > 1 else soft)
    signal = response * light.mean(axis=(1, 2), dtype=np.float64)
    return Seen((images[0], images[1], images[2]), margin, offset_px(layout, signal), harmonics(layout, signal))


def disc_on_panel(camera: CameraModel, view: View) -> Map:
    """Return the defocus disc in panel pixels, as in the frame's middle: how much of it each pixel gets; sum 1."""
    radius = camera.lens.disc_px / 2
    gradients = view.gradients(*view.middle)
    reach = int(np.ceil(radius * float(np.linalg.norm(gradients, axis=1).max())))
    if not reach:
        return np.ones((1, 1), dtype=np.float32)
    side = 2 * reach + 1
    fine = (np.arange(side * _FINE) + 0.5) / _FINE - side / 2
    places = np.stack(np.meshgrid(fine, fine), axis=-1) @ np.linalg.inv(gradients).T
    inside = (places**2).sum(axis=-1) < radius**2
    shares = inside.reshape(side, _FINE, side, _FINE).mean(axis=(1, 3))
    return np.asarray(shares / shares.sum(), dtype=np.float32)


def white_response(camera: CameraModel, surface: PanelSurface) -> Real:
    """Return electrons behind each filter for 1 cd/m² of the white that red, green and blue make together."""
    luminances = surface.state.panel.emission.rows[:3, 1]
    return np.asarray(np.array(camera.sensor.electrons) @ (luminances / luminances.sum()))


def responses(camera: CameraModel, surface: PanelSurface) -> Real:
    """Return electrons behind each filter (rows) for 1 cd/m² of each channel of a panel (columns)."""
    three = np.array(camera.sensor.electrons)
    if surface.state.model.white_share <= 0:
        return three
    return np.column_stack([three, white_response(camera, surface)])


def blur_on_panel(camera: CameraModel, view: View, layout: SubPixels) -> Real:
    """Return the standard deviations of the blur in panel pixels, across and down, as in the frame's middle.

    The blur, a camera pixel's own area and the luminous area add up as variances; linear interpolation between the
    panel's pixels adds 1/6 by itself, which is taken off.
    """
    gradients = view.gradients(*view.middle)
    square = (gradients**2).sum(axis=1) * (camera.lens.blur_px**2 + 1 / 12)
    lit = areas(layout)[1, 2:] ** 2 / 12
    return np.asarray(np.sqrt(np.maximum(square + lit - 1 / 6, 0.0)))
