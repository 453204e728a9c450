"""From a patch group of the file to the patches of one place."""

from __future__ import annotations

import math
from collections.abc import Iterator

from patterns.frame import Codes
from sequences import geometry
from sequences.geometry import FULL, PatchGeometry
from sequences.model import HUES, Hue, Level, PanelFacts, Patch, Place, Reads
from sequences.nominal import code_of, luminance_cd_m2
from sequences.schema import (
    DEFAULT_CODES,
    Checkerboard,
    Field,
    Grid,
    Group,
    Loading,
    Pattern,
    Primaries,
    Ramp,
    ResponseRamp,
    Sequence,
    Until,
    Window,
    Zones,
)

NAMES: dict[type[Group], str] = {
    Field: "field",
    Window: "window",
    Ramp: "ramp",
    Primaries: "primary",
    Checkerboard: "checkerboard",
    Grid: "grid",
    Zones: "zone",
    Loading: "loading",
    ResponseRamp: "response",
    Pattern: "pattern",
}
"""First part of a patch's key, and its purpose unless that is said or found to be white or black."""

LEAST_READS = 2
"""Readings of one of several showings: fewer would not tell its scatter."""
LARGE_SHARE = 0.5
LARGE_READS = 3
"""Loading windows of half the screen and more are read no more often than this: they age the panel most."""


def levels(group: Group) -> tuple[Level, ...]:
    """Return the levels of a group in the order written."""
    if group.cd_m2 is not None:
        return tuple(Level("cd_m2", value) for value in group.cd_m2)
    if group.share_of_peak is not None:
        return tuple(Level("share_of_peak", value) for value in group.share_of_peak)
    if group.jnd_steps is not None:
        return tuple(Level("jnd", float(step), group.jnd_steps) for step in range(1, group.jnd_steps + 1))
    return tuple(Level("code", float(code)) for code in group.codes or DEFAULT_CODES[type(group)])


def reads_of(stated: int | Until) -> Reads:
    """Return how many readings a file's ``reads`` asks for."""
    if isinstance(stated, Until):
        return Reads(stated.n, stated.until, stated.until_cd_m2, stated.max)
    return Reads(stated)


def patches_at(group: Group, place: Place, sequence: Sequence, panel: PanelFacts) -> Iterator[Patch]:
    """Yield the patches of a group at a place, in the order they are read when nothing is shuffled."""
    made = [
        patch_of(group, hue, level, shown, place, sequence=sequence, panel=panel)
        for shown in geometries(group, place)
        for hue in group.hues
        for level in levels(group)
    ]
    if isinstance(group, Loading):
        made = _dim_to_bright(made, panel)
    yield from made


def geometries(group: Group, place: Place) -> tuple[PatchGeometry, ...]:
    """Return the ways a group is shown."""
    if isinstance(group, Checkerboard):
        return tuple(geometry.checkerboard(group.columns, group.rows, phase) for phase in group.phases)
    if isinstance(group, Loading):
        shares = sorted(group.shares)
        return tuple(geometry.window(place, s, shape=group.shape, background=group.background) for s in shares)
    if isinstance(group, Pattern):
        return (PatchGeometry(group.pattern, group.pattern),)
    if not isinstance(group, Window) or (isinstance(group, Ramp | Primaries) and group.shown == "field"):
        return (FULL,)
    window = geometry.window(
        place,
        group.share,
        shape=group.shape,
        background=group.background,
        surround_mean_code=group.surround_mean_code,
        collar_px=group.collar_px,
    )
    return (window,)


def patch_of(
    group: Group, hue: Hue, level: Level, shown: PatchGeometry, place: Place, *, sequence: Sequence, panel: PanelFacts
) -> Patch:
    """Return one patch, with the settling and the readings its level needs."""
    dark = luminance_cd_m2(level, hue, panel) < sequence.dark.below_cd_m2
    usual = sequence.dark if dark else sequence.reading
    integration = group.integration_s if group.integration_s is not None else usual.integration_s
    return Patch(
        group=NAMES[type(group)],
        place=place,
        hue=hue,
        level=level,
        geometry=shown.label,
        purpose=group.purpose or _purpose(group, hue, level),
        pattern=shown.pattern,
        parameters=shown.parameters,
        background=shown.background,
        settle_s=usual.settle_s if group.settle_s is None else group.settle_s,
        integration_s=integration if integration is not None else sequence.reading.integration_s,
        reads=_shared(
            _reads(group, shown, reads_of(usual.reads if group.reads is None else group.reads)), group.showings
        ),
        showings=group.showings,
        refine=group.refine and level.basis != "code",
        between_codes=group.between_codes,
    )


def nominal_codes(patch: Patch, panel: PanelFacts) -> Codes:
    """Return the codes a patch would have on the nominal panel."""
    code = code_of(patch.level, patch.hue, panel)
    red, green, blue = (code * driven for driven in HUES[patch.hue])
    return (red, green, blue)


def _purpose(group: Group, hue: Hue, level: Level) -> str:
    if type(group) in (Field, Window) and level.basis == "code":
        if level.value == 0:
            return "black"
        if level.value == 255 and hue == "grey":
            return "white"
    return NAMES[type(group)]


def _reads(group: Group, shown: PatchGeometry, reads: Reads) -> Reads:
    share = dict(shown.parameters).get("share", 0.0)
    if isinstance(group, Loading) and isinstance(share, float) and share >= LARGE_SHARE:
        return Reads(min(reads.n, LARGE_READS))
    return reads


def _shared(reads: Reads, showings: int) -> Reads:
    """Return the readings of one of several showings: together they meet the wish a single one would have met."""
    if showings == 1:
        return reads
    return Reads(
        n=max(LEAST_READS, math.ceil(reads.n / showings)),
        until=None if reads.until is None else reads.until * math.sqrt(showings),
        until_cd_m2=None if reads.until_cd_m2 is None else reads.until_cd_m2 * math.sqrt(showings),
        max=max(LEAST_READS, math.ceil(reads.max / showings)),
    )


def _dim_to_bright(patches: list[Patch], panel: PanelFacts) -> list[Patch]:
    known = dict(panel.known_cd_m2)
    if all(patch.key in known for patch in patches):
        return sorted(patches, key=lambda patch: known[patch.key])
    return patches
