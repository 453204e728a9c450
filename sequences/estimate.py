"""How long a sequence takes and what it does to the panel, before anything is shown.

Nominal throughout: the response is taken as a power of 2.2 up to the panel's assumed peak, a reading without a stated
integration time as ``READING_S``. Light dose: each colour channel's light on its own sub-pixels, area-weighted, as
hours of a white of 120 cd/m² with acceleration exponent n = 1.7 (common practice for emissive panels, +/- 0.3); the
channel that gets most is reported.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from patterns.frame import Codes, Rect
from sequences.groups import nominal_codes
from sequences.model import GAMMA, HUES, Hold, PanelFacts, Patch, PutProbe, Read, Room, Shoot, Step, WarmUp
from sequences.nominal import PEAK_CODE, code_of, drive, luminance_cd_m2

DOSE_EXPONENT = 1.7
DOSE_REFERENCE_CD_M2 = 120.0
FADE_S = 0.4
READING_S = 0.7
DARK_READING_S = 2.0
"""A probe takes longer on patches below 1 cd/m²."""
LINK_S = 0.15
PLACEMENT_S = 30.0
ROOM_HAND_S = 40.0
SETTING_S = 20.0
"""To read what photograph comes next, and to set the camera."""
HOLD_S = 15.0
"""A hold until a key, as far as one can know."""
SHARES = {
    "checkerboard": 0.5,
    "pixel-checker": 0.5,
    "smooth-ramp": 0.4,
    "stair": 0.4,
    "near-black": 0.0,
    "geometry": 0.02,
    "dot-grid": 0.01,
    "grey-stairs": 0.24,
}
"""Share of the screen at full colour that gives the same dose, for patterns that are no plain rectangle."""
NOMINAL_REPEATABILITY = 0.0015
NOMINAL_DARK_NOISE_CD_M2 = 0.003
"""Noise of the default simulated probe: plans how many readings ``until`` may take."""


@dataclass(frozen=True, slots=True)
class Effort:
    """What a sequence will take."""

    patches: int
    """Patches to be read, references included."""
    readings: int
    holds: int
    placements: int
    """How often the hand sets the probe down."""
    placements_after_warm_up: int
    minutes: float
    """Minutes of showing, settling and reading, without warm-up, placements, questions and holds."""
    placement_minutes: float
    warm_up_minutes: float
    """The least the warm-up takes."""
    hold_minutes: float
    dose_h: float
    """Equivalent hours of 120 cd/m² white, warm-up included."""
    dose_centre_h: float
    """The same at the centre, where most windows stand."""
    longest_bright_s: float
    """Longest total time of one patch brighter than half the peak."""


def plan(steps: Iterable[Step], panel: PanelFacts) -> Effort:
    """Estimate a sequence's time and light."""
    steps = tuple(steps)
    warm_ups = [n for n, step in enumerate(steps) if isinstance(step, WarmUp)]
    placed = [n for n, step in enumerate(steps) if isinstance(step, PutProbe)]
    reads = [step.patch for step in steps if isinstance(step, Read)]
    rooms = [step.patch for step in steps if isinstance(step, Room)]
    holds = [step for step in steps if isinstance(step, Hold)]
    shot_s = [seconds for step in steps if isinstance(step, Shoot) for seconds in step.shot_s]
    reading_s = sum(patch_s(patch, panel) for patch in reads) + sum(
        3 * patch_s(patch, panel) + ROOM_HAND_S for patch in rooms
    )
    return Effort(
        patches=len(reads),
        readings=sum(expected_reads(patch, panel) for patch in reads),
        holds=len(holds) + len(shot_s),
        placements=len(placed),
        placements_after_warm_up=sum(1 for n in placed if n > max(warm_ups, default=-1)),
        minutes=reading_s / 60,
        placement_minutes=len(placed) * PLACEMENT_S / 60,
        warm_up_minutes=sum(step.minutes for step in steps if isinstance(step, WarmUp)),
        hold_minutes=(sum(hold_s(step) for step in holds) + sum(seconds + SETTING_S for seconds in shot_s)) / 60,
        dose_h=dose_h(steps, panel),
        dose_centre_h=dose_h(steps, panel, at_centre=True),
        longest_bright_s=_longest_bright_s(reads, panel),
    )


def expected_reads(patch: Patch, panel: PanelFacts) -> int:
    """Return how many readings a patch will probably take, by the nominal probe's noise."""
    reads = patch.reads
    if reads.until is None:
        return reads.n
    light = max(luminance_cd_m2(patch.level, patch.hue, panel), 1e-6)
    noise = math.hypot(NOMINAL_REPEATABILITY, NOMINAL_DARK_NOISE_CD_M2 / light)
    wanted = max(reads.until, (reads.until_cd_m2 or 0.0) / light)
    return min(reads.max, max(reads.n, math.ceil(2.0 * (noise / wanted) ** 2)))


def patch_s(patch: Patch, panel: PanelFacts) -> float:
    """Return the seconds one patch stands: fade, settling, trial readings, readings."""
    dark = luminance_cd_m2(patch.level, patch.hue, panel) < 1.0
    one = (patch.integration_s or (DARK_READING_S if dark else READING_S)) + LINK_S
    trials = 2 * (patch.settle_s + one) if patch.refine else 0.0
    return FADE_S + patch.settle_s + trials + expected_reads(patch, panel) * one


def hold_s(hold: Hold) -> float:
    """Return the seconds a hold takes."""
    return hold.seconds if hold.seconds is not None else HOLD_S


def dose_h(steps: Iterable[Step], panel: PanelFacts, *, at_centre: bool = False) -> float:
    """Return the light dose of a sequence: hours of 120 cd/m² white that wear the most lit channel alike.

    Mean over the panel's area, or (``at_centre``) at the centre, which every window shown there lights wholly.
    """
    steps = tuple(steps)
    grey = mean_code(steps, panel)
    total = [0.0, 0.0, 0.0]
    for codes, share, background, seconds in _shown(steps, panel, at_centre):
        for n in range(3):
            total[n] += _dose(codes[n], share, background[n], seconds, panel)
    for step in steps:
        if isinstance(step, WarmUp):
            total = [t + _dose(grey, 1.0, 0.0, step.minutes * 60, panel) for t in total]
    return max(total) / 3600


def mean_code(steps: Iterable[Step], panel: PanelFacts) -> float:
    """Return the grey code whose light is the mean over time and area of all that is read, 16 to 160."""
    light, seconds_all = 0.0, 0.0
    for codes, share, background, seconds in _shown(steps, panel):
        over = sum(share * drive(c) + (1 - share) * drive(b) for c, b in zip(codes, background, strict=True)) / 3
        light += over * seconds
        seconds_all += seconds
    code = PEAK_CODE * (light / seconds_all) ** (1 / GAMMA) if seconds_all else 0.0
    return float(min(max(round(code), 16), 160))


def lit_share(patch: Patch, panel: PanelFacts) -> float:
    """Return the share of the screen a patch lights."""
    given = dict(patch.parameters)
    rect = given.get("rect")
    if isinstance(rect, tuple):
        return float(Rect(*rect).area / (panel.width_px * panel.height_px))
    share = given.get("share")
    if isinstance(share, float):
        return share
    return SHARES.get(patch.pattern, 1.0)


def _shown(
    steps: Iterable[Step], panel: PanelFacts, at_centre: bool = False
) -> Iterator[tuple[Codes, float, Codes, float]]:
    """Yield codes, lit share, background and seconds of everything that is shown."""
    for step in steps:
        if isinstance(step, Read):
            seconds = patch_s(step.patch, panel)
        elif isinstance(step, Hold) and not step.title_card:
            seconds = hold_s(step)
        elif isinstance(step, Shoot):
            yield from _photographed(step, panel)
            continue
        else:
            continue
        codes, share, background = _light(step.patch, panel, at_centre)
        yield codes, share, background, seconds


def _photographed(step: Shoot, panel: PanelFacts) -> Iterator[tuple[Codes, float, Codes, float]]:
    """Yield what is shown of a shooting list."""
    for shot, seconds in zip(step.shots, step.shot_s, strict=True):
        code = code_of(shot.level, shot.hue, panel)
        red, green, blue = (code * driven for driven in HUES[shot.hue])
        yield (red, green, blue), SHARES.get(shot.pattern, 1.0), (0.0, 0.0, 0.0), seconds


def _light(patch: Patch, panel: PanelFacts, at_centre: bool) -> tuple[Codes, float, Codes]:
    codes, share = nominal_codes(patch, panel), lit_share(patch, panel)
    window = "share" in dict(patch.parameters)
    if at_centre and window:
        return codes, float(patch.place.name == "centre"), patch.background
    mean = dict(patch.parameters).get("surround_mean_code")
    if isinstance(mean, float):
        return (mean, mean, mean), 1.0, patch.background
    return codes, share, patch.background


def _dose(code: float, share: float, background: float, seconds: float, panel: PanelFacts) -> float:
    def rate(drive_code: float) -> float:
        return float((panel.peak_cd_m2 * drive(drive_code) / DOSE_REFERENCE_CD_M2) ** DOSE_EXPONENT)

    return seconds * (share * rate(code) + (1 - share) * rate(background))


def _longest_bright_s(patches: list[Patch], panel: PanelFacts) -> float:
    stood: dict[str, float] = {}
    for patch in patches:
        if max(drive(code) for code in nominal_codes(patch, panel)) >= 0.5:
            stood[patch.key] = stood.get(patch.key, 0.0) + patch_s(patch, panel)
    return max(stood.values(), default=0.0)
