"""Shoots that went wrong, as they do: what the reader of photographs has to notice."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal, get_args

from panelwear.simulation.camera.model import Flicker, Pose
from panelwear.simulation.camera.shooting import Shoot

Fault = Literal["moire", "bands", "moved", "saturated", "wrong-order", "cut-off", "oblique", "mirrored"]

SHARP_PX = 0.2
MOIRE_CAMERA_PX = 1.05
"""Camera pixels for each panel pixel at which the grid beats slowly with the sensor's own."""
OPENED = 2.8
"""Aperture with which exposures are short enough for bands."""
SATURATING = 2.5


def faults() -> tuple[Fault, ...]:
    """Return the names of all faults."""
    return get_args(Fault)


def spoiled(shoot: Shoot, fault: Fault, panel_px: tuple[int, int], refresh_hz: float = 60.0) -> Shoot:
    """Return a shoot in which something goes wrong.

    ``moire``: focus on the pixel grid, at a distance where it beats with the sensor's pixels. ``bands``: the
    aperture is opened to f/2.8 and exposures last some refresh periods and a half, before a panel whose light is
    modulated by 30 %.
    ``moved``: the camera is knocked by 1 % of the frame before the first field. ``saturated``: exposures two and a half
    times too long. ``wrong-order``: two fields were shown in each other's place. ``cut-off``: a corner of the panel
    lies outside the frame. ``oblique``: seen from 50 degrees at the side. ``mirrored``: seen in a mirror.
    """
    first = shoot.poses[0]
    fields = [one.shot.name for one in shoot.wanted if one.shot.kind == "field" and one.shot.pose == 0]
    if fault == "moire":
        camera = replace(shoot.camera, lens=replace(shoot.camera.lens, blur_px=SHARP_PX))
        fill = MOIRE_CAMERA_PX * panel_px[0] / camera.sensor.size_px[0]
        return _from(replace(shoot, camera=camera), replace(first, fill=fill, tilt_deg=1.0, turn_deg=-1.5))
    if fault == "bands":
        return _banded(shoot, refresh_hz)
    if fault == "moved":
        knocked = replace(first, shift=(first.shift[0] + 0.010, first.shift[1] + 0.006))
        return replace(shoot, moved=((fields[0], knocked),))
    if fault == "saturated":
        return replace(shoot, longer=SATURATING)
    if fault == "wrong-order":
        return replace(shoot, order=_swapped([one.shot.name for one in shoot.wanted], fields[0], fields[-1]))
    changed = {
        "cut-off": replace(first, shift=(0.12, 0.0), fill=0.9, roll_deg=2.0),
        "oblique": replace(first, turn_deg=50.0),
        "mirrored": replace(first, mirrored=True),
    }
    return _from(shoot, changed[fault])


def _from(shoot: Shoot, pose: Pose) -> Shoot:
    return replace(shoot, poses=(pose, *shoot.poses[1:]))


def _banded(shoot: Shoot, refresh_hz: float) -> Shoot:
    """Open the aperture, and shorten each exposure as much, to some periods and a half."""
    lens = shoot.camera.lens
    less = (OPENED / lens.f_number) ** 2
    camera = replace(shoot.camera, lens=replace(lens, f_number=OPENED))
    wanted = tuple(
        replace(one, exposure_s=(max(round(one.exposure_s * less * refresh_hz - 0.5), 1) + 0.5) / refresh_hz)
        for one in shoot.wanted
    )
    return replace(shoot, camera=camera, wanted=wanted, flicker=Flicker(refresh_hz, 0.3))


def _swapped(names: list[str], one: str, other: str) -> tuple[str, ...]:
    exchanged = {one: other, other: one}
    return tuple(exchanged.get(name, name) for name in names)
