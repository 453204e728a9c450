"""Small simulated panels for the tests of levels: luminance of a code, with what real panels do to it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from panelwear.panel.measured import fit_response
from panelwear.panel.response import Response
from panelwear.readings.table import ReadingTable

SHARES = {"grey": 1.0, "red": 0.22, "green": 0.70, "blue": 0.08}
HUE_MASK = {"grey": (1, 1, 1), "red": (1, 0, 0), "green": (0, 1, 0), "blue": (0, 0, 1)}


def power_law(gamma: float) -> Callable[[float], float]:
    return lambda V: V**gamma


def s_shaped(V: float) -> float:
    """Steep in the middle, flat at both ends, like a panel whose maker tuned its contrast."""
    return float(
        (1 / (1 + np.exp(-7 * (V - 0.55))) - 1 / (1 + np.exp(3.85)))
        / (1 / (1 + np.exp(-3.15)) - 1 / (1 + np.exp(3.85)))
    )


@dataclass(frozen=True, slots=True)
class Panel:
    shape: Callable[[float], float]
    peak_cd_m2: float = 250.0
    black_cd_m2: float = 0.02
    limiter: float = 1.0
    """Share of the full light the whole lit area may give together; 1: no limiter."""

    def luminance(self, code: float, hue: str = "grey", lit_share: float = 0.1) -> float:
        """Luminance of a window; a code between two is their mix in light; the limiter caps share times light."""
        below = int(code)
        part = code - below
        light = (1 - part) * self.shape(below / 255) + part * self.shape(min(below + 1, 255) / 255)
        load = lit_share * light * SHARES[hue]
        if load > self.limiter:
            light *= self.limiter / load
        return self.black_cd_m2 + SHARES[hue] * (self.peak_cd_m2 - self.black_cd_m2) * light


def readings(
    rows: list[tuple[str, float, float]], *, geometry: str = "w10", purpose: str = "response", lit_share: float = 0.1
) -> ReadingTable:
    """Make a table of (hue, code, luminance) rows, as a run stores them."""
    n = len(rows)
    codes = np.array([[code * on for on in HUE_MASK[hue]] for hue, code, _ in rows], dtype=np.float64).reshape(n, 3)
    text = np.array([""] * n, dtype=np.str_)
    whole = np.ones(n, dtype=np.int64)
    Y = np.array([value for *_, value in rows], dtype=np.float64)
    return ReadingTable(
        checkpoint=text,
        session=whole,
        visit=whole,
        pair=text,
        step=whole,
        monotonic_s=np.arange(n, dtype=np.float64),
        time_utc_s=np.full(n, np.nan),
        segment=whole,
        patch=np.array([f"response/centre/{hue}/c{code:g}/{geometry}" for hue, code, _ in rows], dtype=np.str_),
        purpose=np.array([purpose] * n, dtype=np.str_),
        place=np.array(["centre"] * n, dtype=np.str_),
        pattern=np.array(["window"] * n, dtype=np.str_),
        red=codes[:, 0],
        green=codes[:, 1],
        blue=codes[:, 2],
        lit_share=np.full(n, lit_share),
        target_cd_m2=np.full(n, np.nan),
        level_basis=np.array(["code"] * n, dtype=np.str_),
        repeat=whole,
        X=Y.copy(),
        Y=Y,
        Z=Y.copy(),
        integration_s=np.ones(n),
        settled_s=np.ones(n),
        geometry_sha256=text,
        flags=np.array(["ok"] * n, dtype=np.str_),
    )


GREY_CODES = (0, 8, 16, 24, 32, 48, 64, 80, 96, 112, 128, 144, 160, 176, 192, 208, 224, 240, 255)
CHANNEL_CODES = (32, 64, 96, 128, 160, 192, 224, 255)


def measured(
    panel: Panel, rng: np.random.Generator | None = None, *, repeats: int = 3, lit_share: float = 0.1
) -> Response:
    """Measure a panel's response as the shipped sequences do, with a probe that scatters where ``rng`` is given."""
    rows: list[tuple[str, float, float]] = []
    for hue in ("grey", "red", "green", "blue"):
        for code in GREY_CODES if hue == "grey" else CHANNEL_CODES:
            true = panel.luminance(code, hue, lit_share)
            for _ in range(repeats):
                noise = 0.0 if rng is None else rng.normal(0, np.hypot(0.003, 0.0015 * true))
                rows.append((hue, float(code), true + noise))
    return fit_response(readings(rows, lit_share=lit_share), "w10")
