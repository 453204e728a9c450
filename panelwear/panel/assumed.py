"""Responses taken on trust when nothing was measured: sRGB, BT.1886, a power, or a table."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Any, TypeGuard

import numpy as np
from numpy.typing import NDArray

from panelwear.colorimetry.transfer import bt1886_luminance, power_luminance, srgb_light
from panelwear.errors import FileFault
from panelwear.panel.curve import CODES, Curve, curve_of
from panelwear.panel.response import ASSUMED, Geometry, Response

Real = NDArray[np.float64]

BT709_SHARES = (0.2126, 0.7152, 0.0722)
"""Share of red, green and blue in the luminance of white (ITU-R BT.709-6, item 3.2)."""

KEYS = ("kind", "peak_cd_m2", "black_cd_m2", "gamma", "shares", "codes", "cd_m2")
KINDS = ("srgb", "bt1886", "power", "table")


def assumed_response(mapping: Mapping[str, Any], where: str = "panel.toml: response") -> Response:
    """Make the response a panel file names.

    Keys: ``kind`` (``srgb``, ``bt1886``, ``power`` or ``table``), ``peak_cd_m2``, ``black_cd_m2`` (0), ``gamma``
    (power, and BT.1886 where it is not 2.4), ``shares`` of red, green and blue in white (BT.709's); for a table
    ``codes`` and ``cd_m2``.
    An empty mapping stands for sRGB with its reference peak of 80 cd/m² (IEC 61966-2-1). Raises ``FileFault`` with all
    faults at once.
    """
    faults = _faults(mapping, where)
    if faults:
        raise FileFault(tuple(faults))
    kind = str(mapping.get("kind", "srgb"))
    black = float(mapping.get("black_cd_m2", 0.0))
    peak = float(mapping.get("peak_cd_m2", 80.0))
    gamma = float(mapping.get("gamma", 2.4 if kind == "bt1886" else 2.2))
    if kind == "table":
        grey = _table(mapping)
        told = f"a table of {len(mapping['codes'])} codes"
    else:
        grey = curve_of(_formula(kind, np.arange(CODES) / 255.0, peak, black, gamma))
        names = {"srgb": "sRGB", "bt1886": "BT.1886", "power": f"a power of {gamma:g}"}
        told = f"{names[kind]}, {black:g} to {peak:g} cd/m²"
    red, green, blue = split(grey, tuple(mapping.get("shares", BT709_SHARES)))
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


def _table(mapping: Mapping[str, Any]) -> Curve:
    from panelwear.panel.fit import interpolated

    return interpolated([float(c) for c in mapping["codes"]], [float(v) for v in mapping["cd_m2"]])


def _faults(mapping: Mapping[str, Any], where: str) -> list[str]:
    faults = [f"{where}: '{key}' is not known; allowed are {', '.join(KEYS)}." for key in mapping if key not in KEYS]
    kind = mapping.get("kind", "srgb")
    if kind not in KINDS:
        faults.append(f"{where}: kind is {kind!r}; allowed are {', '.join(KINDS)}.")
    for key, low, high in (("peak_cd_m2", 0.1, 10000.0), ("black_cd_m2", 0.0, 100.0), ("gamma", 1.0, 4.0)):
        if key in mapping and not _number_within(mapping[key], low, high):
            faults.append(f"{where}: {key} is {mapping[key]!r}; it must be a number from {low:g} to {high:g}.")
    if not faults and kind != "table" and mapping.get("black_cd_m2", 0.0) >= mapping.get("peak_cd_m2", 80.0):
        faults.append(f"{where}: black_cd_m2 is not below peak_cd_m2.")
    shares = mapping.get("shares", BT709_SHARES)
    if not (_numbers(shares) and len(shares) == 3 and min(shares) > 0 and abs(sum(shares) - 1) < 0.01):
        faults.append(f"{where}: shares is {shares!r}; it must be three numbers above 0 with the sum 1.")
    if kind == "table":
        faults += _table_faults(mapping, where)
    return faults


def _table_faults(mapping: Mapping[str, Any], where: str) -> list[str]:
    codes, levels = mapping.get("codes"), mapping.get("cd_m2")
    if not (_numbers(codes) and _numbers(levels) and len(codes) == len(levels) >= 2):
        return [f"{where}: a table needs codes and cd_m2, two lists of numbers of the same length, at least 2."]
    faults = []
    if codes[0] != 0 or codes[-1] != 255 or any(b <= a for a, b in pairwise(codes)):
        faults.append(f"{where}: codes must rise from 0 to 255.")
    faults += [
        f"{where}: cd_m2 does not rise from code {codes[i - 1]:g} to {codes[i]:g}."
        for i in range(1, len(levels))
        if levels[i] <= levels[i - 1]
    ]
    if levels[0] < 0:
        faults.append(f"{where}: cd_m2 is below 0 at code 0.")
    return faults


def _number_within(value: object, low: float, high: float) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and low <= value <= high


def _numbers(value: object) -> TypeGuard[Sequence[float]]:
    return isinstance(value, list | tuple) and all(
        isinstance(v, int | float) and not isinstance(v, bool) and math.isfinite(v) for v in value
    )
