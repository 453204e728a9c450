"""Responses taken on trust when nothing was measured: sRGB, BT.1886, a power, or a table."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from groundwork.tables import LOOSE, limits, read
from panelwear.colorimetry.transfer import bt1886_luminance, power_luminance, srgb_light
from panelwear.errors import FileFault
from panelwear.panel.curve import CODES, Curve, curve_of
from panelwear.panel.response import ASSUMED, Geometry, Response

Real = NDArray[np.float64]

BT709_SHARES = (0.2126, 0.7152, 0.0722)
"""Share of red, green and blue in the luminance of white (ITU-R BT.709-6, item 3.2)."""


@dataclass(frozen=True, slots=True)
class _ResponseTable:
    """The ``[response]`` table of ``panel.toml``."""

    kind: Literal["srgb", "bt1886", "power", "table"] = "srgb"
    peak_cd_m2: float = field(default=80.0, metadata=limits(low=0.1, high=10_000))
    black_cd_m2: float = field(default=0.0, metadata=limits(low=0, high=100))
    gamma: float | None = field(default=None, metadata=limits(low=1, high=4))
    shares: tuple[float, float, float] = field(default=BT709_SHARES, metadata=limits(above=0, high=1))
    codes: tuple[float, ...] = field(default=(), metadata=LOOSE)
    cd_m2: tuple[float, ...] = field(default=(), metadata=LOOSE)

    def faults(self) -> Iterator[tuple[str, str]]:
        """Say what does not make a response."""
        if self.kind == "table":
            yield from self._table_faults()
        if abs(sum(self.shares) - 1) >= 0.01:
            yield "shares", f"have the sum {sum(self.shares):g}; it must be 1"
        if self.kind != "table" and self.black_cd_m2 >= self.peak_cd_m2:
            yield "black_cd_m2", f"{self.black_cd_m2:g} is not below peak_cd_m2 ({self.peak_cd_m2:g})"

    def _table_faults(self) -> Iterator[tuple[str, str]]:
        codes, levels = self.codes, self.cd_m2
        if not len(codes) == len(levels) >= 2:
            yield "", "a table needs codes and cd_m2, two lists of numbers of the same length, at least 2"
            return
        if codes[0] != 0 or codes[-1] != 255 or any(b <= a for a, b in pairwise(codes)):
            yield "codes", "must rise from 0 to 255"
        for n, (low, high) in enumerate(pairwise(levels)):
            if high <= low:
                yield "cd_m2", f"does not rise from drive level {codes[n]:g} to {codes[n + 1]:g}"
        if levels[0] < 0:
            yield "cd_m2", "is below 0 at drive level 0"


def assumed_response(mapping: Mapping[str, Any], where: str = "panel.toml: response") -> Response:
    """Make the response a panel file names.

    Keys: ``kind`` (``srgb``, ``bt1886``, ``power`` or ``table``), ``peak_cd_m2``, ``black_cd_m2`` (0), ``gamma``
    (power, and BT.1886 where it is not 2.4), ``shares`` of red, green and blue in white (BT.709's); for a table
    ``codes`` and ``cd_m2``.
    An empty mapping stands for sRGB with its reference peak of 80 cd/m² (IEC 61966-2-1). Raises ``FileFault`` with all
    faults at once.
    """
    stated = read(_ResponseTable, mapping, where, FileFault)
    black, peak = stated.black_cd_m2, stated.peak_cd_m2
    gamma = stated.gamma or (2.4 if stated.kind == "bt1886" else 2.2)
    if stated.kind == "table":
        from panelwear.panel.fit import interpolated

        grey = interpolated(stated.codes, stated.cd_m2)
        told = f"a table of {len(stated.codes)} drive levels"
    else:
        grey = curve_of(_formula(stated.kind, np.arange(CODES) / 255.0, peak, black, gamma))
        names = {"srgb": "sRGB", "bt1886": "BT.1886", "power": f"a power of {gamma:g}"}
        told = f"{names[stated.kind]}, {black:g} to {peak:g} cd/m²"
    red, green, blue = split(grey, stated.shares)
    return Response(ASSUMED, told, Geometry(""), grey, red, green, blue)


def split(grey: Curve, shares: tuple[float, ...]) -> tuple[Curve, Curve, Curve]:
    """Share grey's light out to red, green and blue, each on the panel's whole black."""
    net = np.asarray(grey.cd_m2) - grey.black_cd_m2
    red, green, blue = (curve_of(grey.black_cd_m2 + share * net) for share in shares)
    return red, green, blue


def _formula(kind: str, V: Real, peak_cd_m2: float, black_cd_m2: float, gamma: float) -> Real:
    if kind == "bt1886":
        return bt1886_luminance(V, peak_cd_m2, black_cd_m2, gamma)
    if kind == "power":
        return power_luminance(V, peak_cd_m2, black_cd_m2, gamma)
    return black_cd_m2 + (peak_cd_m2 - black_cd_m2) * srgb_light(V)
