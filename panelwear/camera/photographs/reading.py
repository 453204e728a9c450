"""A shoot is read: every field's photographs become a map, or a sentence says why not."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from groundwork.documents import printable
from panelwear.camera.field_map import FieldMap, Shading
from panelwear.camera.photographs.field_light import (
    Against,
    Signal,
    colour_means,
    relative_light,
    signal_of,
    usable_cells,
)
from panelwear.camera.photographs.judging import Judged, beside_others, judged
from panelwear.camera.photographs.kinds import PhotoFile
from panelwear.camera.photographs.lens import Chosen, chosen
from panelwear.camera.photographs.luminance import USUAL_SHARES, Weights, luminance_weights, only
from panelwear.camera.photographs.noise import CameraNoise, excess, noise_of
from panelwear.camera.photographs.opening import opened_photograph
from panelwear.camera.photographs.photograph import COLOURS, Colour, Taken
from panelwear.camera.photographs.reference import reference_cells
from panelwear.camera.photographs.setup import Files, SetUp, set_up
from panelwear.camera.photographs.stack import Stack, stacked
from panelwear.camera.shots import Shot
from panelwear.panel.response import Response
from panelwear.telling.words import percent

MOST_TILT_DEG = 8.0
"""From here on it is said that light sent aslant is in the map."""
EXCESS = 1.15
"""By so much more than the camera's noise frames may differ before the uncertainty takes it over and it is said."""
LEAST_USABLE = 0.5
"""Share of the cells; of less no map is made."""
Progress = Callable[[float, str], None]


@dataclass(frozen=True, slots=True, eq=False)
class FieldRead:
    """What became of one field."""

    shot: Shot
    judged: Judged
    frames: int
    weights: str
    """Which of the camera's colours its light is, in words."""
    map: FieldMap | None
    """``None`` where it was refused."""


@dataclass(frozen=True, slots=True, eq=False)
class ShootRead:
    """What became of a shoot."""

    set_up: SetUp
    lens: Chosen
    noise: CameraNoise
    taken: Taken
    fields: tuple[FieldRead, ...]


@dataclass(frozen=True, slots=True, eq=False)
class _Field:
    shot: Shot
    stack: Stack
    taken: Taken
    judged: Judged


def read_shoot(
    files: Files, response: Response, wanted: Shading | None, said: Progress
) -> ShootRead:  # fmt: skip
    """Read a shoot.

    Args:
        files: its photographs.
        response: of the panel: how much of a grey's light is red, green and blue, and what a staircase's levels are.
        wanted: how the lens is to be taken out; ``None``: as the photographs allow.
        said: told how far it is.

    Raises:
        UsageError: no map can come of it.
    """
    said(0.0, "where the panel lies")
    found = set_up(files, lambda code: response.luminance("grey", code), wants_flat=wanted in {None, "even-surface"})
    files = found.files
    shots = files.fields()
    fields = []
    for n, shot in enumerate(shots):
        said(0.2 + 0.6 * n / max(1, len(shots)), shot.name)
        stack = stacked(files.opened(shot.name), found.cells, keep_pixels=True)
        taken = opened_photograph(files.of[shot.name][0]).taken
        verdict = judged(shot.name, stack, found, taken)
        fields.append(_Field(shot, stack.without_pixels(), taken, verdict))
    if not files.for_showing:  # what bends light makes waves of steps
        fields = [_beside(one, fields, files.panel.refresh_hz) for one in fields]
    said(0.85, "lens and panel")
    lens = chosen(found, wanted)
    good = [one.stack for one in fields if not one.judged.refused] or [one.stack for one in fields]
    noise = noise_of([*good, *(one for one in (found.black, found.flat) if one is not None)])
    maps = _Maps(found, lens, noise, fields, response)
    return ShootRead(found, lens, noise, found.example.taken, tuple(maps.read(one) for one in fields))


def _beside(one: _Field, fields: Sequence[_Field], refresh_hz: float) -> _Field:
    """Judge a field beside the others of its hue."""
    others = [(f.shot.name, f.stack) for f in fields if f is not one and f.shot.channel == one.shot.channel]
    refused, caution = beside_others(one.shot.name, one.stack, one.taken, others, refresh_hz)
    cautions = (*one.judged.cautions, *filter(None, (caution,)))
    return replace(one, judged=replace(one.judged, refused=one.judged.refused or refused, cautions=cautions))


class _Maps:
    """Makes the maps of a shoot's fields."""

    def __init__(
        self, found: SetUp, lens: Chosen, noise: CameraNoise, fields: Sequence[_Field], response: Response
    ) -> None:
        self.response = response
        self.found, self.lens, self.noise = found, lens, noise
        self.reference = reference_cells(found.files.panel)
        self.black_taken = self._taken("black")
        self.signals = {one.shot.name: self._signal(one) for one in fields}
        self.usable = {one.shot.name: self._usable(one) for one in fields}
        self.primaries = self._primaries(fields)

    def read(self, one: _Field) -> FieldRead:
        """Make the map of one field."""
        weights = self._weights(one)
        share = float(self.usable[one.shot.name].mean())
        if share < LEAST_USABLE and not one.judged.refused:
            why = (
                f"{one.shot.name}: {percent(share)} of the cells can be used, and {percent(LEAST_USABLE)} is the least"
            )
            one = replace(one, judged=replace(one.judged, refused=why))
        made = None if one.judged.refused else self._map(one, weights)
        return FieldRead(one.shot, one.judged, one.stack.frames, weights.said, made)

    def _taken(self, kind: str) -> Taken | None:
        names = self.found.files.named(kind)
        return opened_photograph(self.found.files.of[names[0]][0]).taken if names else None

    def _black_times(self, taken: Taken) -> float:
        if self.black_taken is None:
            return 0.0
        one, black = taken.sensitivity, self.black_taken.sensitivity
        return 1.0 if one is None or black is None else one / black

    def _signal(self, one: _Field) -> Signal:
        flat = self.found.flat if self.lens.shading == "even-surface" else None
        times = self._black_times(one.taken)
        return signal_of(one.stack, Against(self.noise, self.found.black, times, flat, self.lens.fall_off))

    def _usable(self, one: _Field) -> NDArray[np.bool_]:
        cell_px = self.found.view.panel_px[0] / self.found.cells.shape[1]
        edges = one.judged.signs.edges
        blurred = 0 if edges is None else int(np.ceil(edges.blur_px / cell_px))
        stacks = [one.stack, *((self.found.flat,) if self.found.flat is not None else ())]
        return usable_cells(self.found.cells, stacks, 1 + min(blurred, 8))

    def _primaries(self, fields: Sequence[_Field]) -> dict[Colour, NDArray[np.float64]]:
        """Return, of the brightest good field of each colour, the means behind the camera's colours."""
        found: dict[Colour, NDArray[np.float64]] = {}
        for colour in COLOURS:
            own = [f for f in fields if f.shot.channel == colour and not f.judged.refused]
            if own:
                top = max(own, key=lambda f: max(f.shot.codes)).shot.name
                found[colour] = colour_means(self.signals[top], self.found.cells, self.usable[top] & self.reference)
        return found

    def _weights(self, one: _Field) -> Weights:
        alone = next((colour for colour in COLOURS if colour == one.shot.channel), None)
        if alone is not None:
            return only(alone)
        name = one.shot.name
        grey = colour_means(self.signals[name], self.found.cells, self.usable[name] & self.reference)
        code = max(one.shot.codes)
        each = [self.response.luminance(hue, code) - self.response.luminance(hue, 0) for hue in COLOURS]
        if min(each) <= 0:
            return luminance_weights(grey, self.primaries, USUAL_SHARES)
        return luminance_weights(grey, self.primaries, (each[0], each[1], each[2]), self.response.told)

    def _map(self, one: _Field, weights: Weights) -> FieldMap:
        found, name = self.found, one.shot.name
        usable = self.usable[name]
        light, u_light, u_pixels = relative_light(self.signals[name], found.cells, weights, usable, self.reference)
        more = excess(one.stack, self.noise)
        cautions = [*found.cautions, *one.judged.cautions, *filter(None, (weights.caution,))]
        if more > EXCESS:
            u_light = (u_light * np.float32(more)).astype(np.float32)
            cautions.append(
                f"frames differ {more:.2g} times as much as the camera's noise; the uncertainty is as much larger"
            )
        tilt = found.view.tilt_deg(found.files.panel.pitch_mm)
        if tilt > MOST_TILT_DEG:
            cautions.append(f"seen {tilt:.0f} degrees aslant: what the panel sends aslant is in the map")
        sources = tuple((printable(file.path.name), file.sha256) for file in self._sources(one))
        return FieldMap(
            one.shot, found.view.panel_px, light, u_light, np.isfinite(light), 0.0, self.lens.u_slow,
            self.lens.shading, one.taken.set_up, found.files.for_showing,
            one.taken.camera.startswith("simulated"), tuple(dict.fromkeys(cautions)), sources,
            u_pixels if self.lens.shading != "even-surface" else None, found.view,
            one.taken.focal_35_mm,
        )  # fmt: skip

    def _sources(self, one: _Field) -> list[PhotoFile]:
        names = [one.shot.name, *self.found.files.named("dots"), *self.found.files.named("black")]
        if self.lens.shading == "even-surface":
            names += self.found.files.named("even-surface")
        return [file for name in names for file in self.found.files.of[name]]
