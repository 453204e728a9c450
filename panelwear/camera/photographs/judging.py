"""Whether a field's photographs can be used: saturation, moire, bands, a camera that moved; each with what to do."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from panelwear.camera.photographs.bands import band_amplitude, banding, row_wave
from panelwear.camera.photographs.edges import Edges, edges_of
from panelwear.camera.photographs.field_light import MOST_SATURATED
from panelwear.camera.photographs.moire import Wave, strongest_moire
from panelwear.camera.photographs.photograph import Taken
from panelwear.camera.photographs.setup import SetUp
from panelwear.camera.photographs.stack import Stack
from panelwear.telling.words import percent

MOST_MOIRE = 0.003
"""Amplitude, relative to the light averaged over a cell; a third of it is told. Wear of a per cent is looked for."""
MOST_BANDS = 0.003
"""Left in the mean of the frames; likewise."""
MOST_BURNT = 0.01
"""Share of the cells that may be saturated."""
MOVED_PX, DOUBTFUL_PX = 1.0, 0.6
"""Panel pixels from where the dots put the panel's edges; a third of a pixel is the colours' own place."""
MOST_BANDING = 0.003
Verdict = tuple[str, str]
LEAST_LIGHT = 0.01
"""Of the sensor's range."""
UNSTEADY, MOST_UNSTEADY = 0.01, 0.05
"""Standard deviation of the light of a shot's frames as a whole."""


@dataclass(frozen=True, slots=True)
class Signs:
    """What was found in a field's photographs."""

    edges: Edges | None
    moire: Wave
    bands: float | None
    """Left in the mean of the frames; ``None``: there is one alone."""


@dataclass(frozen=True, slots=True)
class Judged:
    """What it means."""

    signs: Signs
    refused: str
    """Why no map is made of them; empty: one is."""
    cautions: tuple[str, ...]


def judged(name: str, stack: Stack, found: SetUp, taken: Taken) -> Judged:
    """Judge the mean frame of a field, which has to hold its pixels.

    Args:
        name: of the shot.
        stack: its frames.
        found: where the panel lies, and the layout of the planes.
        taken: how its frames were taken.
    """
    bands = band_amplitude(stack)
    signs = Signs(
        edges_of(found.view, found.example, found.cells, stack.pixels),
        strongest_moire(found.view, found.example, found.cells, stack.pixels),
        None if bands is None else bands / math.sqrt(stack.frames),
    )
    refused = _refused(name, stack, signs, for_showing=found.files.for_showing)
    return Judged(signs, refused, (*_of_signs(signs), *_of_frames(stack, found, taken)))


def _refused(name: str, stack: Stack, signs: Signs, *, for_showing: bool) -> str:
    why = _not_the_field(stack, signs.edges) or _waves(stack, signs, for_showing=for_showing)
    return f"{name}: {why}" if why else ""


def _not_the_field(stack: Stack, edges: Edges | None) -> str:
    """Say where the photographs do not hold the whole field, once, at rest."""
    burnt = float((stack.saturated > MOST_SATURATED).any(axis=0).mean())
    if burnt > MOST_BURNT:
        return (
            f"{percent(burnt)} of the panel is saturated in a colour of the camera; take it again with a shorter"
            " exposure of whole refresh periods"
        )
    if edges is None:
        return "the panel's edges cannot be seen against its surround; darken the room, take it again"
    if edges.moved_px > MOVED_PX:
        return (
            f"the panel's edges lie {edges.moved_px:.1f} panel pixels from where the dots put them, and {MOVED_PX:g} is"
            " the most: the camera moved; take the shoot again without touching it"
        )
    if _unsteady(stack) > MOST_UNSTEADY:
        return (
            f"its frames differ by {percent(_unsteady(stack))} in light, and {percent(MOST_UNSTEADY)} is the most: they"
            " are not of one field and one exposure; put it right with --as, or take them again"
        )
    return ""


def _waves(stack: Stack, signs: Signs, *, for_showing: bool) -> str:
    """Say where moire or bands are too strong.

    What a camera makes for looking at bends where it is bright, and small steps become large there: it is not refused
    for bands.
    """
    if signs.moire.amplitude > MOST_MOIRE:
        return (
            f"moire of {percent(signs.moire.amplitude)} of the light (period {_cells(signs.moire)}), and"
            f" {percent(MOST_MOIRE)} is the most; focus a little off, until the grid of pixels just goes, or change the"
            " distance by a tenth"
        )
    if signs.bands is not None and signs.bands > MOST_BANDS and not for_showing:
        return (
            f"refresh bands of {percent(signs.bands)} of the light are left in the mean of {stack.frames} frames, and"
            f" {percent(MOST_BANDS)} is the most; expose for whole refresh periods, a quarter of a second or longer"
        )
    return ""


def beside_others(name: str, stack: Stack, taken: Taken, others: Sequence[tuple[str, Stack]], hz: float) -> Verdict:
    """Look for bands in a field beside the others of its hue, or by itself where it is alone.

    Args:
        name: of the shot.
        stack: its frames.
        taken: how they were taken.
        others: names and frames of the other fields of its hue.
        hz: the panel's refresh rate.

    Returns:
        Why no map is made of it, and what is to be said; empty: nothing.
    """
    waves = [(other, row_wave(stack.rows, each.rows)) for other, each in others]
    least = min(((wave.amplitude, other, wave) for other, wave in waves if wave is not None), default=None)
    if least is None:
        alone = row_wave(stack.rows)
        if alone is None or alone.amplitude < MOST_BANDS / 3:
            return "", ""
        return "", (
            f"a wave of {percent(alone.amplitude)} of the light along the camera's rows, {alone.periods:.2g} periods"
            " over the panel: refresh bands, or rows of the panel's own"
        )
    amplitude, other, wave = least
    if amplitude < MOST_BANDS / 3:
        return "", ""
    told = f"along the camera's rows its light differs from that of {other} by {percent(amplitude)}"
    can_be = taken.exposure_s is None or banding(taken.exposure_s, hz) >= amplitude
    if amplitude > MOST_BANDS and can_be:
        return (
            f"{name}: {told}, with {wave.periods:.2g} periods over the panel, and {percent(MOST_BANDS)} is the most:"
            " refresh bands; expose for whole refresh periods, a quarter of a second or longer"
        ), ""
    return "", f"{told}: refresh bands, or the panel is uneven otherwise at this level"


def _unsteady(stack: Stack) -> float:
    return float(stack.gains.std(ddof=1)) if stack.frames > 1 else 0.0


def _cells(wave: Wave) -> str:
    return f"{wave.period_cells:.2g} cells" if wave.period_cells < 1000 else "longer than the panel"


def _of_signs(signs: Signs) -> list[str]:
    edges, wave, bands = signs.edges, signs.moire, signs.bands
    said = []
    if edges is not None and edges.moved_px > DOUBTFUL_PX:
        said.append(f"the panel's edges lie {edges.moved_px:.1f} panel pixels from where the dots put them")
    if wave.amplitude > MOST_MOIRE / 3:
        said.append(f"moire of {percent(wave.amplitude)} of the light, with a period of {_cells(wave)}")
    if bands is None:
        said.append("one frame alone: refresh bands cannot be looked for")
    elif bands > MOST_BANDS / 3:
        said.append(f"refresh bands of {percent(bands)} of the light are left in the mean")
    return said


def _of_frames(stack: Stack, found: SetUp, taken: Taken) -> list[str]:
    said = []
    if taken.exposure_s is None:
        said.append("the exposure is not told, so it cannot be checked against the panel's refresh")
    elif (share := banding(taken.exposure_s, found.files.panel.refresh_hz)) > MOST_BANDING:
        said.append(
            f"an exposure of {taken.exposure_s:.3g} s can show {percent(share)} of the panel's flicker as bands"
        )
    if _unsteady(stack) > UNSTEADY:
        said.append(f"light goes up and down by {percent(_unsteady(stack))} from frame to frame")
    planes = found.example.planes
    white = max(plane.white - plane.black for plane in planes)
    if planes[0].curve is None and float(np.nanmax(np.nanmedian(stack.mean, axis=1))) < LEAST_LIGHT * white:
        said.append(f"very dark: under {percent(LEAST_LIGHT)} of the sensor's range; expose longer")
    return said
