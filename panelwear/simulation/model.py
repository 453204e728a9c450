"""Everything that makes one simulated panel, in one record. All default numbers are invented."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from panelwear.simulation.ageing import Ageing
from panelwear.simulation.behaviour import Limiter, StaticDimming, WarmUp
from panelwear.simulation.uniformity import Uniformity
from panelwear.simulation.usage import ACTIVE_AREA_MM, HARBOUR_DESK, Content

XY = tuple[float, float]


@dataclass(frozen=True, slots=True)
class PanelModel:
    """A self-emitting panel with three additive primaries and, if wanted, a fourth white sub-pixel."""

    name: str = "harbour-desk"
    active_area_mm: tuple[float, float] = ACTIVE_AREA_MM
    primaries_xy: tuple[XY, XY, XY] = ((0.676, 0.318), (0.252, 0.694), (0.146, 0.052))
    white_xy: XY = (0.3095, 0.3248)
    """When new, in the centre, warmed up: 6720 K, a little above the locus."""
    peak_cd_m2: float = 410.0
    """White at full drive in a small window, in the centre, new and warm; the limiter leaves 288 at a full field."""
    gammas: tuple[float, float, float] = (2.2, 2.2, 2.2)
    s_shape: float = 0.0
    black_cd_m2: float = 0.002
    white_share: float = 0.0
    """Share of the grey part of a colour that a white sub-pixel takes over; 0: there is none."""
    additivity: float = 1.0
    """Luminance of white over the sum of R, G and B alone; above 1 the white sub-pixel adds, below 1 they disturb."""
    limiter: Limiter = field(default_factory=Limiter)
    dimming: StaticDimming | None = None
    warm_up: WarmUp = field(default_factory=WarmUp)
    ageing: Ageing = field(default_factory=Ageing)
    uniformity: Uniformity = field(default_factory=Uniformity)
    usage: tuple[Content, ...] = HARBOUR_DESK


HARBOUR_DESK_PANEL = PanelModel()


def drawn_panel(seed: int, base: PanelModel = HARBOUR_DESK_PANEL) -> PanelModel:
    """Draw a panel at random around another: response, primaries, peak, limiter, wear and unevenness all differ."""
    rng = np.random.default_rng((seed, 11))
    gamma = float(rng.uniform(1.8, 2.6))
    gammas = tuple(float(g) for g in gamma + rng.normal(0, 0.02, 3))
    shift = rng.normal(0, 0.004, (4, 2))
    primaries = [_possible(x + dx, y + dy) for (x, y), (dx, dy) in zip(base.primaries_xy, shift[:3], strict=True)]
    white = (base.white_xy[0] + float(shift[3, 0]) / 2, base.white_xy[1] + float(shift[3, 1]) / 2)
    stretch = np.exp(rng.normal(0, 0.25, 4))
    wear = replace(
        base.ageing,
        tau_h=_four(np.asarray(base.ageing.tau_h) * stretch),
        b=_four(np.clip(np.asarray(base.ageing.b) + rng.normal(0, 0.04, 4), 0.5, 0.95)),
    )
    return replace(
        base,
        name=f"{base.name}-{seed}",
        primaries_xy=(primaries[0], primaries[1], primaries[2]),
        white_xy=white,
        peak_cd_m2=float(base.peak_cd_m2 * np.exp(rng.normal(0, 0.25))),
        gammas=(gammas[0], gammas[1], gammas[2]),
        s_shape=float(rng.uniform(0, 0.3)),
        limiter=Limiter(knee=float(rng.uniform(0.15, 0.4)), full_share=float(rng.uniform(0.6, 1.0))),
        warm_up=WarmUp(
            amplitudes=(
                float(rng.normal(0.008, 0.004)),
                float(rng.normal(0.01, 0.004)),
                float(rng.normal(0.014, 0.005)),
            ),
            tau_s=float(rng.uniform(240, 700)),
        ),
        ageing=wear,
        uniformity=replace(base.uniformity, seed=base.uniformity.seed + 1000 + seed),
    )


def _possible(x: float, y: float) -> XY:
    """Keep a chromaticity where light can be: x + y below 1, and y not so low that it would hold no luminance."""
    high = max(float(y), 0.03)
    return (min(float(x), 0.998 - high), high)


def _four(values: NDArray[np.float64]) -> tuple[float, float, float, float]:
    red, green, blue, white = map(float, values)
    return (red, green, blue, white)
