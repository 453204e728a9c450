"""What was read of a shoot, for the terminal."""

from __future__ import annotations

import numpy as np

from panelwear.camera.cautions_of import cautions_of
from panelwear.camera.photographs.reading import FieldRead, ShootRead
from panelwear.telling.parts import EMPTY, Column, Part, Prose, aside, grid, paragraphs
from panelwear.telling.words import counted, percent

COLUMNS = (
    Column("field"), Column("frames", number=True), Column("noise of a cell", "%", number=True),
    Column("cells used", "%", number=True), Column("moire", "%", number=True, optional=True),
    Column("bands", "%", number=True, optional=True), Column("edges off", "px", number=True, optional=True),
    Column("map"),
)  # fmt: skip


def parts_of(read: ShootRead, outside: int, photos: str, maps: str) -> list[Part]:
    """Say where the panel lies, how the lens was taken out, and what became of each field.

    Args:
        read: what became of the shoot.
        outside: how many photographs do not lie in the checkpoint.
        photos: folder where they should.
        maps: folder of the maps.
    """
    view, noise, found = read.set_up.view, read.noise, read.set_up
    facts = [
        ("registration", f"{view.rms_px:.3f} panel pixels (rms) from {counted(view.dots, 'dot')}"),
        ("aslant", f"{view.tilt_deg(found.files.panel.pitch_mm):.1f} degrees"),
        ("set-up", read.taken.set_up),
        ("lens taken out by", read.lens.said),
        ("slow gradients", f"known to {percent(read.lens.u_slow)} of the light across the panel"),
        ("camera", _camera(read)),
    ]
    if not noise.from_frames:
        facts.append(("", "one frame a field: noise is taken from pixel to pixel, which is more"))
    rows = [_row(one) for one in read.fields]
    parts: list[Part] = aside(grid(("", ""), facts), EMPTY, grid(COLUMNS, rows, otherwise="maps/read.json"))
    refused = [one.judged.refused for one in read.fields if one.map is None]
    if refused:
        parts += [EMPTY, Prose("No map was made of:"), *paragraphs(*(f"  {why}." for why in refused))]
    if cautions := cautions_of((one.shot.name, one.map) for one in read.fields if one.map):
        told = (f"  {where}: {said}." for where, said in cautions)
        parts += [EMPTY, Prose("What limits them:"), *paragraphs(*told)]
    parts += aside(EMPTY)
    if outside:
        said = f"{counted(outside, 'photograph')} outside {photos}"
        parts.append(Prose(f"{said}: copy them there before closing the checkpoint, so that they are sealed with it."))
    made = sum(one.map is not None for one in read.fields)
    return [*parts, *aside(Prose(f"{counted(made, 'map')} in {maps}."))]


def _camera(read: ShootRead) -> str:
    noise = read.noise
    told = f"{noise.gain:.3g} numbers an electron, {noise.dark_electrons:.2g} electrons of dark noise"
    spread = f", pixels differ by {percent(noise.prnu)}" if noise.prnu else ""
    return f"{told}{spread}; {counted(read.set_up.masked, 'pixel')} left out"


def _row(one: FieldRead) -> tuple[str, ...]:
    signs = one.judged.signs
    bands = "-" if signs.bands is None else f"{100 * signs.bands:.2f}"
    edges = "-" if signs.edges is None else f"{signs.edges.moved_px:.2f}"
    noise = used = "-"
    if one.map is not None:
        noise = f"{100 * float(np.nanmedian(one.map.u_light)):.2f}"
        used = f"{100 * float(one.map.usable.mean()):.0f}"
    made = "refused" if one.map is None else "for showing" if one.map.for_showing else one.shot.name
    return (one.shot.name, str(one.frames), noise, used, f"{100 * signs.moire.amplitude:.2f}", bands, edges, made)
