"""Maps of two checkpoints put together: which pair and which do not, and the later divided by the earlier."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from panelwear.camera.field_map import FieldMap, FloatMap
from panelwear.camera.shots import Shot
from panelwear.camera.wear.same_pixels import SamePixels, away_of
from sequences.model import HUES

LEAST_LIGHT = 0.05
"""Cells darker than this share of the reference are left out: their quotient is noise."""

NEAR_CODES = 0.05
"""Fields of one wanted luminance pair as long as their drive levels are no farther apart than this share: as the panel
loses light, the same luminance takes a little more drive."""


@dataclass(frozen=True, slots=True, eq=False)
class ChangeMap:
    """What one field did from one checkpoint to another, cell by cell."""

    shot: Shot
    panel_px: tuple[int, int]
    change: FloatMap
    """Later light over earlier light less one, each relative to its reference; NaN where not usable."""
    u: FloatMap
    """Its standard uncertainty from cell to cell, 0 where not usable."""
    usable: NDArray[np.bool_]
    correlation_cells: float
    u_slow: float
    for_showing: bool
    simulated: bool
    pixels: SamePixels | None = None
    """What the sensor's own pixels put into both maps; ``None``: nothing, or it counts as noise of each."""

    def with_other_pixels(self) -> ChangeMap:
        """Return the map as one that two sensors made: differences between pixels are noise of each of its maps."""
        if self.pixels is None:
            return self
        own = self.pixels
        more = own.then**2 + own.now**2 - own.cell() ** 2
        u = np.where(self.usable, np.sqrt(self.u.astype(np.float64) ** 2 + more), 0.0)
        return replace(self, u=u.astype(np.float32), pixels=None)

    @property
    def field(self) -> str:
        """What the field is called: ``grey 20 cd/m²``, ``red, drive level 180``."""
        return field_words(self.shot)


@dataclass(frozen=True, slots=True, eq=False)
class PairedMaps:
    """The maps of two checkpoints."""

    changes: tuple[ChangeMap, ...]
    not_paired: tuple[str, ...]
    """Why others do not pair, a sentence each."""


def field_words(shot: Shot) -> str:
    """Return what a field is called."""
    if shot.target_cd_m2 is not None:
        return f"{shot.channel} {shot.target_cd_m2:g} cd/m²"
    return f"{shot.channel}, drive level {max(shot.codes):g}"


def pair_maps(before: Sequence[FieldMap], after: Sequence[FieldMap]) -> PairedMaps:
    """Pair the maps of two checkpoints by shot, and divide the later by the earlier.

    Fields come in the order grey, red, green, blue, each from dark to bright. Only the pose that is kept from
    checkpoint to checkpoint is compared.
    """
    then = {one.shot.name: one for one in before if one.shot.pose == 0}
    now = {one.shot.name: one for one in after if one.shot.pose == 0}
    found, why = [], []
    for name, later in now.items():
        earlier = then.get(name)
        if earlier is None:
            why.append(f"{name}: was not photographed at the earlier checkpoint")
            continue
        against = objection(earlier, later)
        if against:
            why.append(f"{name}: {against}")
        else:
            found.append(_divided(earlier, later))
    why += [f"{name}: was not photographed at the later checkpoint" for name in then if name not in now]
    found.sort(key=lambda one: (list(HUES).index(one.shot.channel), max(one.shot.codes)))
    return PairedMaps(tuple(found), tuple(why))


def objection(before: FieldMap, after: FieldMap) -> str:
    """Say why two maps of one name do not compare; empty where they do."""
    if before.panel_px != after.panel_px:
        (w, h), (wide, high) = before.panel_px, after.panel_px
        return f"other panel size, {w} x {h} px then and {wide} x {high} px now"
    if not _alike(before.shot, after.shot):
        return f"other drive levels, {_codes(before.shot)} then and {_codes(after.shot)} now"
    return _of_the_lens(before, after)


def _alike(before: Shot, after: Shot) -> bool:
    """Tell whether two fields show the same: equal drive levels, or nearly equal ones for the same wanted luminance.

    A contrast hangs on the level by its backplane part alone, which goes as the root of luminance (docs/comparison.md);
    over ``NEAR_CODES`` of drive that is a tenth of light, and a twentieth of that part.
    """
    if before.codes == after.codes:
        return True
    wanted = before.target_cd_m2 is not None and before.target_cd_m2 == after.target_cd_m2
    near = all(abs(a - b) <= NEAR_CODES * max(a, b) for a, b in zip(before.codes, after.codes, strict=True))
    return wanted and near


def _of_the_lens(before: FieldMap, after: FieldMap) -> str:
    kinds = {before.shading, after.shading}
    if "same-set-up" not in kinds:
        return ""
    if len(kinds) > 1:
        return "the lens's fall-off was taken out of one map only; read both with an even surface or poses"
    if before.set_up != after.set_up:
        return f"other set-up, '{before.set_up}' then and '{after.set_up}' now, and the lens's fall-off is in both"
    return ""


def _codes(shot: Shot) -> str:
    return ", ".join(f"{code:g}" for code in shot.codes)


def _divided(before: FieldMap, after: FieldMap) -> ChangeMap:
    usable = before.usable & after.usable
    with np.errstate(invalid="ignore"):
        usable &= (before.light > LEAST_LIGHT) & (after.light > LEAST_LIGHT)
    usable &= np.isfinite(before.u_light) & np.isfinite(after.u_light)
    then = np.where(usable, before.light, 1.0).astype(np.float64)
    now = np.where(usable, after.light, 1.0).astype(np.float64)
    ratio = now / then
    u = ratio * np.hypot(before.u_light / then, after.u_light / now)
    pixels = _same_pixels(before, after, usable)
    if pixels is not None:
        u = np.sqrt(np.maximum(u**2 - pixels.then**2 - pixels.now**2, 0.0) + pixels.cell() ** 2)
    return ChangeMap(
        shot=after.shot,
        panel_px=after.panel_px,
        change=np.where(usable, ratio - 1, np.nan).astype(np.float32),
        u=np.where(usable, u, 0.0).astype(np.float32),
        usable=usable,
        correlation_cells=max(before.correlation_cells, after.correlation_cells),
        u_slow=math.hypot(before.u_slow, after.u_slow),
        for_showing=before.for_showing or after.for_showing,
        simulated=before.simulated or after.simulated,
        pixels=pixels,
    )


def _same_pixels(before: FieldMap, after: FieldMap, usable: NDArray[np.bool_]) -> SamePixels | None:
    """Return what the pixels of one camera put into both maps; ``None`` where two cameras, or two crops, made them."""
    parts = before.u_pixels, after.u_pixels
    if parts[0] is None or parts[1] is None or before.view is None or after.view is None:
        return None
    if before.view.frame_px != after.view.frame_px or camera_of(before) != camera_of(after):
        return None
    then, now = (
        np.where(usable, u, 0.0) / np.where(usable, one.light, 1.0).astype(np.float64)
        for u, one in zip((parts[0], parts[1]), (before, after), strict=True)
    )
    return SamePixels(then, now, away_of(before.view, after.view))


def camera_of(one: FieldMap) -> str:
    """Return the make and model in a map's set-up."""
    return one.set_up.split(",", maxsplit=1)[0]


def as_it_stands(one: FieldMap) -> ChangeMap | None:
    """Return a map against an even one, for contrasts as they are; ``None`` where the lens is still in it."""
    if one.shading == "same-set-up":
        return None
    with np.errstate(invalid="ignore"):
        usable = one.usable & (one.light > LEAST_LIGHT) & np.isfinite(one.u_light)
    return ChangeMap(
        one.shot, one.panel_px, np.where(usable, one.light - 1, np.nan).astype(np.float32),
        np.where(usable, one.u_light, 0.0).astype(np.float32), usable, one.correlation_cells, one.u_slow,
        one.for_showing, one.simulated,
    )  # fmt: skip
