"""Shoots that went wrong, as they do: what the reader of photographs has to notice."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal, get_args

from panelwear.camera.shots import Shot
from panelwear.simulation.camera.model import Flicker, Pose
from panelwear.simulation.camera.shooting import Shoot

Fault = Literal["moire", "bands", "moved", "saturated", "wrong-order", "cut-off", "oblique", "mirrored"]

SHARP_PX = 0.2
BEATING_PX = (1.05, 1.35, 2.03)
"""Camera pixels for each panel pixel at which a harmonic of the grid beats slowly with pixels of one filter, two apart:
2 h / p lies near a whole number, and the area of a camera pixel does not take the harmonic away."""
NEAR = 0.15
"""So far the camera is moved to such a place at most; from elsewhere the beat is a quicker one."""
OPENED = 2.8
"""Aperture with which exposures are short enough for bands."""
SATURATING = 2.5


def faults() -> tuple[Fault, ...]:
    """Return the names of all faults."""
    return get_args(Fault)


def spoiled(shoot: Shoot, fault: Fault, panel_px: tuple[int, int], refresh_hz: float = 60.0) -> Shoot:
    """Return a shoot in which something goes wrong.

    ``moire``: focus on the pixel grid, where possible at a distance at which it beats slowly with the sensor's pixels.
    ``bands``: the aperture is opened to f/2.8 and exposures last some refresh periods and a half, before a panel whose
    light is modulated by 30 %. ``moved``: the camera is knocked by 1 % of the frame before the first field.
    ``saturated``: exposures two and a half times too long. ``wrong-order``: two fields stood in each other's place.
    ``cut-off``: a corner of the panel lies outside the frame. ``oblique``: seen from 50 degrees at the side.
    ``mirrored``: seen in a mirror.
    """
    first = shoot.poses[0]
    fields = [one.shot.name for one in shoot.wanted if one.shot.kind == "field" and one.shot.pose == 0]
    if fault == "moire":
        camera = replace(shoot.camera, lens=replace(shoot.camera.lens, blur_px=SHARP_PX))
        return _from(replace(shoot, camera=camera), _beating(first, panel_px, camera.sensor.size_px))
    if fault == "bands":
        return _banded(shoot, refresh_hz)
    if fault == "moved":
        knocked = replace(first, shift=(first.shift[0] + 0.010, first.shift[1] + 0.006))
        return replace(shoot, moved=((fields[0], knocked),))
    if fault == "saturated":
        return replace(shoot, longer=SATURATING)
    if fault == "wrong-order":
        return replace(shoot, order=_swapped([one.shot for one in shoot.wanted]))
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


def _swapped(shots: list[Shot]) -> tuple[str, ...]:
    """Exchange the first field with the next of its colour, which is the hardest to notice; else with the last."""
    first, *others = [one for one in shots if one.kind == "field" and one.pose == 0]
    other = next((one for one in others if one.channel == first.channel), others[-1])
    exchanged = {first.name: other.name, other.name: first.name}
    return tuple(exchanged.get(one.name, one.name) for one in shots)


def _beating(pose: Pose, panel_px: tuple[int, int], frame_px: tuple[int, int]) -> Pose:
    """Move the camera to the nearest place where the grid beats slowly, aslant so that the beat is no straight line."""
    wide = pose.fill * frame_px[0] / panel_px[0]
    beating = min(BEATING_PX, key=lambda p: abs(p / wide - 1))
    slow = abs(beating / wide - 1) <= NEAR
    fill = beating * panel_px[0] / frame_px[0] if slow else pose.fill
    return replace(pose, fill=fill, tilt_deg=pose.tilt_deg + 0.5, turn_deg=pose.turn_deg - 0.5)
