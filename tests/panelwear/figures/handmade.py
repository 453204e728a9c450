"""Tables of readings made by hand: a panel of known light, read one patch after another."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import numpy as np

from panelwear.colorimetry.basic import XYZ_of_xyY
from panelwear.readings.row import Row
from panelwear.readings.table import ReadingTable, from_rows
from sequences.model import HUES

D65 = (0.3127, 0.3290)


class Bench:
    """Collects rows; every ``put`` is a new placement, every ``read`` takes some readings of one patch."""

    def __init__(
        self,
        seed: int = 1,
        *,
        noise: float = 0.0,
        dark_noise: float = 0.0,
        placement: float = 0.0,
        drift: Callable[[float], float] = lambda _: 0.0,
    ) -> None:
        self.rng = np.random.default_rng(seed)
        self.noise, self.dark_noise, self.placement, self.drift = noise, dark_noise, placement, drift
        self.rows: list[Row] = []
        self.now_s, self.visit, self.step, self.placed = 0.0, 0, 0, 1.0
        self.session = 1
        self.started = datetime(2026, 1, 5, 18, tzinfo=UTC)
        """When the machine's clock stood at 0 s."""

    def put(self) -> None:
        """Lift the probe and put it down."""
        self.visit += 1
        self.now_s += 20.0
        self.placed = 1 + self.placement * float(self.rng.standard_normal())

    def read(
        self,
        patch: str,
        purpose: str,
        Y: float,
        xy: tuple[float, float] = D65,
        *,
        n: int = 5,
        pair: str = "",
        flags: str = "ok",
        pause_s: float = 2.0,
        colour: bool = True,
        codes: tuple[float, float, float] | None = None,
    ) -> None:
        """Show a patch and take n readings a second apart."""
        self.step += 1
        self.now_s += pause_s
        _, place, hue, level, geometry = patch.split("/", 4)
        code = float(level[1:]) if level.startswith("c") else 200.0
        red, green, blue = codes or tuple(code * driven for driven in HUES[hue])
        share = 1.0 if geometry == "full" else float(geometry[1:]) / 100 if geometry[1:].isdigit() else 0.5
        for repeat in range(1, n + 1):
            true = XYZ_of_xyY(*xy, Y) * np.exp(self.drift(self.now_s)) * self.placed if Y else np.zeros(3)
            X, L, Z = true * (
                1 + self.noise * self.rng.standard_normal(3)
            ) + self.dark_noise * self.rng.standard_normal(3)
            self.rows.append(
                Row(
                    row=len(self.rows) + 1, session=self.session, visit=self.visit, pair=pair,
                    time_utc=(self.started + timedelta(seconds=self.now_s)).isoformat(),
                    monotonic_s=self.now_s, step=self.step, patch=patch, purpose=purpose, place=place,
                    pattern="window", red=red, green=green, blue=blue, background="0 0 0", rect_px="0 0 1 1",
                    lit_share=share, target_cd_m2=None, level_basis="code", repeat=repeat,
                    X_cd_m2=float(X) if colour else None, Y_cd_m2=float(L), Z_cd_m2=float(Z) if colour else None,
                    x=None, y=None, u_prime=None, v_prime=None, cct_K=None, duv=None, integration_s=1.0,
                    settled_s=1.0, geometry_sha256="g", frame_sha256="f", flags=flags, note="",
                )
            )  # fmt: skip
            self.now_s += 1.0

    def table(self, segment_starts: tuple[int, ...] = (1,)) -> ReadingTable:
        """Return everything read so far."""
        return from_rows(self.rows, checkpoint="h0", segment_starts=segment_starts)
