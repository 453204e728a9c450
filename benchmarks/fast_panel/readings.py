"""Many inspections in a second, without screen, link or files: the same panel and probe as arrays of readings.

A ``Plan`` holds what does not change from panel to panel (pixels round each place, how much of the screen is lit);
``read_plan`` makes one checkpoint's readings of it. Benchmarks of uncertainty and comparison run thousands.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from benchmarks.fast_panel.plan import FastPatch, Plan, patches_of, plan_of
from benchmarks.fast_panel.table import Times, table_of, times_of
from panelwear.panel.reads import first_stage, total_readings
from panelwear.readings.table import ReadingTable
from panelwear.simulation.aperture import Seen, seen_pixels
from panelwear.simulation.behaviour import LOAD_WEIGHTS
from panelwear.simulation.emission import Spot, xyz_of
from panelwear.simulation.panel import PanelState
from panelwear.simulation.probe import DEFAULT_PROBE, ProbeModel, Session, drawn_session

__all__ = ["FastPatch", "Plan", "patches_of", "plan_of", "read_plan"]

Real = NDArray[np.float64]


def read_plan(
    plan: Plan,
    state: PanelState,
    probe: ProbeModel = DEFAULT_PROBE,
    *,
    seed: int = 0,
    checkpoint: int = 0,
    name: str = "",
    warm_up_s: float = 1800.0,
) -> ReadingTable:
    """Take all readings of a plan at one checkpoint.

    Args:
        plan: what is read, in order.
        state: the panel at its present age.
        probe: what the probe has wrong.
        seed: of everything random.
        checkpoint: number of the checkpoint; each has its own session errors, placements and noise.
        name: stands in the table's ``checkpoint`` column.
        warm_up_s: time since switching on when the first patch is shown.
    """
    rng = np.random.default_rng((seed, checkpoint, 5))
    sight = _Sight(plan, state, probe, drawn_session(probe, np.random.default_rng((seed, checkpoint, 4))), rng)
    most = [p.reads if p.rule is None else max(first_stage(p.rule), p.rule.max) for p in plan.patches]
    times = _times(plan, most, warm_up_s)
    noise = rng.standard_normal((len(times.patch), 7))
    readings = sight.read(times, noise)
    if any(p.rule is not None for p in plan.patches):
        counts = _enough(plan, most, times, readings[:, 1])
        noise = noise[times.repeat <= np.array(counts)[times.patch]]
        times = _times(plan, counts, warm_up_s)
        readings = sight.read(times, noise)
    return table_of(plan.patches, plan.geometry, times, readings, name)


def _times(plan: Plan, counts: list[int], warm_up_s: float) -> Times:
    both = zip(plan.patches, counts, strict=True)
    return times_of([(p.visit, count, p.settle_s, p.integration_s) for p, count in both], warm_up_s)


def _enough(plan: Plan, most: list[int], times: Times, Y: Real) -> list[int]:
    """Decide after the first stage of each patch how many readings it gets, as the engine does."""
    starts = np.searchsorted(times.patch, np.arange(len(plan.patches)))
    counts = []
    for patch, start, count in zip(plan.patches, starts, most, strict=True):
        if patch.rule is None:
            counts.append(count)
        else:
            first = Y[start : start + first_stage(patch.rule)]
            counts.append(total_readings(first.tolist(), patch.rule))
    return counts


class _Sight:
    """What one probe sees of one panel at one checkpoint; the placements are drawn once."""

    def __init__(
        self, plan: Plan, state: PanelState, probe: ProbeModel, session: Session, rng: np.random.Generator
    ) -> None:
        self._plan, self._state, self._probe, self._session = plan, state, probe, session
        self._clean, self._share, self._placed = _by_patch(plan, state, probe, rng)

    def read(self, times: Times, noise: Real) -> Real:
        """Take readings ``(m, 3)`` at times, with standard normal noise ``(m, 7)``."""
        emission, each = self._state.panel.emission, times.patch
        gain = _gains(self._plan, self._state, times)
        xyz = (self._clean[each] * gain) @ emission.rows + emission.black * self._share[each, None]
        drift = 1 + self._probe.drift_per_h * times.on_s / 3600
        seen = _distorted(xyz, self._session) * (self._placed[each] * drift)[:, None]
        return _noisy(seen, times.integration_s, self._probe, noise)


def _by_patch(plan: Plan, state: PanelState, probe: ProbeModel, rng: np.random.Generator) -> tuple[Real, Real, Real]:
    """Give for each patch the light of R, G, B, W as shares of full drive (n, 4), screen share, placement factor."""
    wide, high = state.model.active_area_mm
    scale = np.array([plan.width_px / wide, plan.height_px / high])
    clean, share, placed = np.zeros((len(plan.patches), 4)), np.zeros(len(plan.patches)), np.ones(len(plan.patches))
    visits = np.array([p.visit for p in plan.patches])
    for visit in np.unique(visits):
        members = np.flatnonzero(visits == visit)
        off = probe.placement_mm * rng.standard_normal(2) * scale
        at = (plan.patches[members[0]].at_px[0] + off[0], plan.patches[members[0]].at_px[1] + off[1])
        seen = seen_pixels(
            at, (probe.aperture_mm * scale[0], probe.aperture_mm * scale[1]), plan.width_px, plan.height_px
        )
        clean[members] = _visit_light(plan, members, seen, state)
        share[members] = seen.weights.sum()
        placed[members] = 1 + probe.placement * rng.standard_normal()
    return clean, share, placed


def _visit_light(plan: Plan, members: NDArray[np.intp], seen: Seen, state: PanelState) -> Real:
    spot, emission = state.pixel_spot(seen, plan.width_px, plan.height_px), state.panel.emission
    light = np.zeros((len(members), 4))
    flat = plan.flat[members]
    if flat.any():
        drive = emission.curves[np.arange(3), plan.crops[members[flat], 0, 0]]
        light[flat] = seen.weights.sum() * emission.driven(drive, _mean_spot(spot, seen))
    mixed = members[~flat]
    if len(mixed):
        side = plan.crops.shape[1] - 1
        rows = np.clip(seen.rows - plan.corners[mixed, 0, None], 0, side)
        columns = np.clip(seen.columns - plan.corners[mixed, 1, None], 0, side)
        drive = emission.curves[np.arange(3), plan.crops[mixed[:, None], rows, columns]]
        light[~flat] = np.einsum("p,npk->nk", seen.weights, emission.driven(drive, spot))
    return light


def _mean_spot(spot: Spot, seen: Seen) -> Spot:
    """Give one point that emits a single colour as the whole aperture does: gain and gained shift averaged."""
    total = max(seen.weights.sum(), 1e-12)
    gain = (seen.weights @ spot.gain) / total
    shift = (seen.weights @ (spot.gain * spot.backplane)) / total
    return Spot(gain[None], (shift / np.maximum(gain, 1e-12))[None])


def _gains(plan: Plan, state: PanelState, times: Times) -> Real:
    """Give the factors (m, 4) of limiter, dimming and warm-up for each reading."""
    load = np.einsum("ncv,cv,c->n", plan.counts, state.panel.emission.curves, np.array(LOAD_WEIGHTS))
    limited = state.model.limiter.gain(load)[times.patch]
    if state.model.dimming is not None:
        limited = limited * state.model.dimming.gain(times.standing_s)
    warm = state.model.warm_up.gain(times.on_s)
    return np.asarray(np.column_stack([warm, warm.mean(axis=1)]) * limited[:, None])


def _distorted(xyz: Real, session: Session) -> Real:
    """Do what ``Session.distort`` does, for many readings."""
    total = xyz.sum(axis=1, keepdims=True)
    bright = ((total > 0) & (xyz[:, 1:2] > 0)).repeat(2, axis=1)
    xy = np.where(bright, xyz[:, :2] / np.where(total > 0, total, 1) + np.array([session.dx, session.dy]), 1 / 3)
    return np.where(bright[:, :1], xyz_of(xy, xyz[:, 1] * session.scale), xyz)


def _noisy(xyz: Real, integration_s: Real, probe: ProbeModel, noise: Real) -> Real:
    """Add the noise of single readings, as ``SimulatedProbe`` does."""
    together, alone, dark = noise[:, :1], noise[:, 1:4], noise[:, 4:]
    relative = probe.repeatability * (np.sqrt(probe.common) * together + np.sqrt(1 - probe.common) * alone)
    floor = probe.dark_noise_cd_m2 / np.sqrt(np.maximum(integration_s, 0.01))
    return np.asarray(xyz * (1 + relative) + floor[:, None] * dark)
