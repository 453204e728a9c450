"""What the white point did, from white itself and from what red, green and blue kept, put together by their covariance.

White's own chromaticity carries what the probe's x and y wander by between two evenings. What each channel kept of its
luminance is a ratio inside the session, and with the colours the channels had at the earlier checkpoint it tells the
white that follows from them. The two are weighed by generalised least squares with their full covariance (placement,
drift, the probe's scale and filters move both as far as they really do), so that the step with the least uncertainty
comes out and its table of uncertainties still adds up.

Three things must hold, and are tested with the readings: the channels add up to white, none changed its own colour, and
the two steps agree. Where one fails, white's own step stands alone, and that is said. The tests are held to 1 % each: a
fallback happens where white itself lies far out, and at 5 % that alone would cost the intervals 4 %.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from groundwork.once import once
from panelwear.colorimetry.basic import uv_prime_of
from panelwear.colorimetry.cct import cct_duv_of_uv
from panelwear.compare.changes import Step, joint
from panelwear.compare.channel_steps import HUES, primaries
from panelwear.compare.differences import Comparability
from panelwear.compare.pairing import Pairing
from panelwear.compare.verdict import p_of, p_of_vector
from panelwear.figures.evidence import Evidence
from panelwear.figures.jointly import Movement
from panelwear.figures.means import Mean
from panelwear.figures.own_light import bases
from panelwear.figures.pick import white
from panelwear.uncertainty.causes import Source
from panelwear.uncertainty.chromaticity import tristimulus_per_xy
from panelwear.uncertainty.estimate import Estimate
from panelwear.uncertainty.formatting import with_uncertainty
from panelwear.uncertainty.meter import ASSUMED
from panelwear.uncertainty.propagate import COARSE_STEP, FINE_STEP

Real = NDArray[np.float64]

ADDS_WITHIN = 0.02
"""How far white may lie from the sum of its channels; a misfit under it is alike at both checkpoints and drops out."""
TESTED_AT = 0.01
COLOUR_KEPT_XY = 0.0002
"""How far a channel's own x and y may move unseen between two checkpoints, standard uncertainty of each (an assumption:
emitters shift a little with age, and the probe's own wander hides less than this)."""
COLOUR_SOURCE = "channels' own colour"
_CHANNELS = 3
_Tinted = Callable[[Real, Real], Real]
"""From X, Y, Z of all patches ``(m, k, 3)`` and what the channels' x and y moved by ``(m, 3, 2)`` to ``(m, q)``."""


@dataclass(frozen=True, slots=True, eq=False)
class WhiteStep:
    """The step of white, from white and channels."""

    uv: Step
    """(Δu', Δv'), both put together."""
    parts: Step
    """CCT in K and Duv, both put together."""
    direct: Step
    """(Δu', Δv') by white alone."""
    direct_K: Estimate
    """Step of CCT by white alone."""
    channels_K: Estimate
    """Step of CCT by the channels alone."""
    p: float
    """Of the disagreement of the two in u', v'."""
    why_not: str
    """Why the channels do not count; empty where they do."""

    @property
    def counts(self) -> bool:
        """Whether the channels count: else white's own step stands alone."""
        return not self.why_not

    @property
    def together_K(self) -> Estimate:
        """Step of CCT, both put together."""
        return self.parts.estimate(0, "white.cct", "K", "white: CCT")

    @property
    def sentence(self) -> str:
        """Say what the step of white rests on."""
        direct, channels, together = (
            with_uncertainty(e, signed=True) for e in (self.direct_K, self.channels_K, self.together_K)
        )
        if self.why_not:
            return f"The white shift rests on white alone ({direct}): {self.why_not}"
        return (
            f"The white shift combines white itself ({direct}) with red, green and blue ({channels}), weighted by "
            f"their uncertainties: {together}"
        )


def white_step(pairing: Pairing, how: Comparability) -> WhiteStep | None:
    """Work out the step of white from white and channels; once for one pairing and comparability.

    ``None`` where there is nothing to put together: a white or channels not read alike, or without
    colour, or by two probes.
    """
    return once(pairing.memo, ("white step", how), lambda: _white_step(pairing, how))


def _white_step(pairing: Pairing, how: Comparability) -> WhiteStep | None:
    sides = [_patches(evidence) for evidence in (pairing.before, pairing.after)]
    if how.mismatch or not all(sides) or [m.key for m in sides[0]] != [m.key for m in sides[1]]:
        return None
    under = bases(pairing.before, pairing.after, (*sides[0], *sides[1]))
    if under is not None:
        sides = [[*side, base] for side, base in zip(sides, under, strict=True)]
    read = ((pairing.before, sides[0]), (pairing.after, sides[1]))
    steps = _worked_out(read, _steps, how, FINE_STEP)
    if steps is None:
        return None
    more = np.zeros((2, len(steps.values) - 4))
    p = p_of_vector(steps.times(np.hstack([-np.eye(2), np.eye(2), more])).vector())
    if math.isnan(p):
        return None
    weights = _least(steps.covariance)
    parts = _worked_out(read, lambda XYZ, tint: _temperatures(XYZ, tint, weights), how, COARSE_STEP)
    if parts is None:
        return None
    uv = steps.times(np.hstack([np.eye(2) - weights, weights, more]))
    alone = steps.times(np.eye(2, len(steps.values)))
    direct, channels = (parts.estimate(i, "white.cct", "K") for i in (2, 3))
    return WhiteStep(uv, parts.times(np.eye(2, 4)), alone, direct, channels, p, next(_faults(sides, steps, p), ""))


def _patches(evidence: Evidence) -> list[Mean]:
    """Return red, green, blue and the white that stands for white, where all are alike in code and window."""
    channels, own = primaries(evidence), white(evidence)
    if not channels or own is None or own.codes != (channels[0].code,) * 3 or own.geometry != channels[0].geometry:
        return []
    found = [*channels, own]
    return found if all(m.has_colour for m in found) and not evidence.is_dark(own) else []


def _worked_out(
    read: tuple[tuple[Evidence, Sequence[Mean]], tuple[Evidence, Sequence[Mean]]],
    function: _Tinted,
    how: Comparability,
    step: float,
) -> Step | None:
    """Work out a function of all patches, with what the channels' own colours may have moved."""
    found = joint(read, lambda XYZ: function(XYZ, np.zeros((len(XYZ), _CHANNELS, 2))), how.common, step)
    if found is None:
        return None
    moves = COLOUR_KEPT_XY * np.eye(2 * _CHANNELS).reshape(-1, _CHANNELS, 2)
    XYZ = np.stack([m.XYZ for _, means in read for m in means])
    every = np.repeat(XYZ[None], len(moves), axis=0)
    by = (function(every, moves) - function(every, -moves)).T / 2
    colour = Source(COLOUR_SOURCE, np.zeros((len(XYZ), 3, len(moves))), note=ASSUMED)
    return found.and_by([Movement(colour, by)])


def _own(XYZ: Real) -> Real:
    """Return red, green, blue and white of one checkpoint, less what stands under them where that was read."""
    return XYZ[:, :4] - XYZ[:, 4:5] if XYZ.shape[1] > 4 else XYZ


def _whites(XYZ: Real, tint: Real) -> tuple[Real, Real, Real]:
    """Return u', v' of white as read then and now, and of the white then with what its channels did, each ``(m, 2)``.

    The earlier white is taken apart into its channels (W = a R + b G + c B), so a misfit of their sum stands on both
    sides alike; each share then keeps what its channel kept of its luminance.
    """
    then, now = np.split(XYZ, 2, axis=1)
    own = _own(then)
    channels = own[:, :_CHANNELS]
    shares = np.linalg.solve(np.moveaxis(channels, 1, 2), own[:, 3, :, None])[..., 0]
    kept = (_own(now)[:, :_CHANNELS, 1] / channels[..., 1])[..., None]
    moved = (kept - 1) * channels + kept * np.einsum("micx,mix->mic", tristimulus_per_xy(channels), tint)
    made = then[:, 3] + np.einsum("mi,mic->mc", shares, moved)
    return uv_prime_of(then[:, 3]), uv_prime_of(now[:, 3]), uv_prime_of(made)


def _steps(XYZ: Real, tint: Real) -> Real:
    """Return Δu', Δv' of white by itself and by its channels, 100 ln of additivity, and Δu', Δv' of each channel."""
    start, now, made = _whites(XYZ, tint)
    own = [_own(side) for side in np.split(XYZ, 2, axis=1)]
    adds = [100 * np.log(side[:, 3, 1] / side[:, :_CHANNELS, 1].sum(axis=1)) for side in own]
    colours = (uv_prime_of(own[1][:, :_CHANNELS]) - uv_prime_of(own[0][:, :_CHANNELS])).reshape(len(XYZ), -1)
    return np.column_stack([now - start, made - start, adds[1] - adds[0], colours])


def _temperatures(XYZ: Real, tint: Real, weights: Real) -> Real:
    """Return the steps of CCT and Duv with both put together, then that of CCT by white and by the channels."""
    start, now, made = _whites(XYZ, tint)
    together = now + (made - now) @ weights.T
    found = cct_duv_of_uv(np.stack([start, together, now, made]) * np.array([1, 2 / 3]))
    return np.column_stack([found[1] - found[0], found[2][:, 0] - found[0][:, 0], found[3][:, 0] - found[0][:, 0]])


def _least(covariance: Real) -> Real:
    """Return the weights ``(2, 2)`` of the channels' step less white's own that leave the least variance.

    Generalised least squares of two readings of one vector (Aitken 1935).
    """
    own, other, shared = covariance[:2, :2], covariance[2:4, 2:4], covariance[:2, 2:4]
    gap = own + other - shared - shared.T
    return np.asarray(np.linalg.solve(gap, (own - shared).T).T)


def _faults(sides: Sequence[Sequence[Mean]], steps: Step, p: float) -> Iterator[str]:
    """Say what keeps the channels from counting, the most telling first."""
    for side in sides:
        own = _own(np.stack([m.XYZ for m in side])[None])[0]
        share = float(own[3, 1] / own[:_CHANNELS, 1].sum())
        if abs(share - 1) > ADDS_WITHIN:
            yield f"white is {share:.3f} of red + green + blue, so the channels do not just add"
    if p_of(steps.estimate(4, "additivity", "%")) < TESTED_AT:
        yield "white over red + green + blue moved beyond its uncertainty, so the channels do not explain white"
    for i, hue in enumerate(HUES):
        colour = steps.times(np.eye(len(steps.values))[5 + 2 * i : 7 + 2 * i])
        if p_of_vector(colour.vector()) < TESTED_AT / _CHANNELS:
            yield f"{hue} changed its own colour beyond the uncertainty"
    if p < TESTED_AT:
        yield "red, green and blue tell another step, beyond the uncertainty of both"
