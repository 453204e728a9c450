"""What is photographed in a simulated shoot: a shooting list on a simulated panel, with the drive levels it shows."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, get_args

import numpy as np

from panelwear.camera.shots import Shot, ShotKind
from panelwear.simulation.truth import load_of
from patterns.frame import Codes, Frame, Picture
from patterns.raster import raster
from patterns.registry import build
from sequences.model import HUES, Hue, PanelFacts, PlannedShot
from sequences.shoots import exposure_s, shots_of

if TYPE_CHECKING:
    from panelwear.simulation.panel import PanelState
    from sequences.shoot_schema import ShootList


@dataclass(frozen=True, slots=True)
class Wanted:
    """One shot with its frames and what the person sets the camera to."""

    shot: Shot
    frames: int
    exposure_s: float
    begins: datetime | None = None
    """When its first frame begins; ``None``: soon after the shot before it."""


def wanted_shots(
    listed: ShootList, state: PanelState, panel: PanelFacts, *, known: bool = True, poses: bool = False
) -> tuple[Wanted, ...]:
    """Return what a shooting list asks for on a simulated panel, without the title card.

    Args:
        listed: the list.
        state: the panel; where ``known``, fields stand at the luminances it would have been measured to have.
        panel: its facts; the refresh rate sets the exposures.
        known: its response is known.
        poses: photograph in the other poses too.
    """
    found = []
    for planned in shots_of(listed, panel, known=known, poses=poses):
        codes = _codes(planned, state)
        lit = _LIT_SHARE.get(planned.kind)
        light = _cd_m2(state, (max(codes),) * 3, lit) if lit is not None else None
        one_s = exposure_s(planned, listed, panel, light)
        target = planned.level.value if planned.level.basis == "cd_m2" else None
        shot = Shot(planned.name, _kind(planned.kind), codes, target, planned.pose)
        found.append(Wanted(shot, planned.frames, one_s or EVEN_SURFACE_S))
    return tuple(found)


_LIT_SHARE = {"dots": 0.02, "stairs": 0.35, "field": 1.0}
"""How much of the panel's full light draws on its supply while its brightest parts are lit: sets the limiter."""
EVEN_SURFACE_S = 0.5
"""An even surface is lit so that this exposure is right."""


def picture_of(shot: Shot, size_px: tuple[int, int], card: Frame | None = None) -> Picture | None:
    """Return what stands on the panel, ``(height, width, 3)``; ``None`` for what stands on no panel.

    Args:
        shot: the shot.
        size_px: width and height of the panel.
        card: the title card's frame.
    """
    if shot.kind == "even-surface":
        return None
    if shot.kind == "title-card":
        if card is None:
            raise ValueError("a title card's frame is wanted")
        return raster(card)
    pattern = {"dots": "dot-grid", "stairs": "grey-stairs"}.get(shot.kind, "field")
    return raster(build(pattern, *size_px, codes=shot.codes))


def drive_for(state: PanelState, hue: Hue, cd_m2: float) -> float:
    """Return the drive level at which a whole field has a luminance in the panel's middle, limiter included.

    Raises:
        ValueError: the panel does not reach it.
    """
    codes = np.arange(256.0)
    light = [_cd_m2(state, _driven(hue, code)) for code in codes]
    if not light[0] <= cd_m2 <= max(light):
        raise ValueError(f"{cd_m2:g} cd/m² of {hue} is out of reach; a whole field has {max(light):.0f} cd/m²")
    first = int(np.searchsorted(np.maximum.accumulate(light), cd_m2))
    return float(np.interp(cd_m2, light[: first + 1], codes[: first + 1]))


def _codes(planned: PlannedShot, state: PanelState) -> Codes:
    if planned.level.basis == "cd_m2":
        return _driven(planned.hue, drive_for(state, planned.hue, planned.level.value))
    return _driven(planned.hue, planned.level.value)


def _driven(hue: Hue, code: float) -> Codes:
    red, green, blue = (code * driven for driven in HUES[hue])
    return (red, green, blue)


def _cd_m2(state: PanelState, codes: Codes, lit_share: float = 1.0) -> float:
    from panelwear.simulation.emission import drives

    emission = state.panel.emission
    spot = state.spot(np.array([0.5]), np.array([0.5]))
    light = emission.light(drives(emission.curves, [codes]), spot)[0, 1]
    limited = light * float(state.model.limiter.gain(load_of(state, codes, lit_share)))
    return float(limited + emission.black[1])


def _kind(kind: str) -> ShotKind:
    return next(known for known in get_args(ShotKind) if known == kind)
