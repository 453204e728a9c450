"""A 3 x 3 matrix that corrects a filter colorimeter for one panel, from readings beside a reference instrument.

Holds for the primaries it was made on, and only while the channels add.
"""

from __future__ import annotations

import hashlib
import json
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from panelwear.colorimetry.basic import distance_uv_prime, uv_prime_of, xy_of
from panelwear.errors import FileFault, UsageError

Real = NDArray[np.float64]

METHODS = {"four-colour": "red, green, blue and white by chromaticity (Ohno and Hardis 1997)",
           "least-squares": "n colours by tristimulus values (ASTM E1455)"}  # fmt: skip
LARGEST_CONDITION = 200.0
"""Above it the colours lie so near a line that the matrix would magnify noise more than it mends the colour."""


@dataclass(frozen=True, slots=True)
class Residual:
    """What the matrix leaves of one colour it was made from."""

    colour: str
    luminance_percent: float
    duv_prime: float


@dataclass(frozen=True, slots=True, eq=False)
class Correction:
    """A matrix with where it came from."""

    matrix: Real
    """``(3, 3)``: true X, Y, Z = matrix times what the probe says."""
    method: str
    panel: str
    date: str
    reference: str
    """Name of the reference instrument, as the person calls it."""
    residuals: tuple[Residual, ...] = field(default=())

    def digest(self) -> str:
        """Return the digest of the matrix alone, as recorded with every checkpoint it is applied to."""
        numbers = [[float(v) for v in row] for row in self.matrix]
        return hashlib.sha256(json.dumps(numbers, separators=(",", ":")).encode()).hexdigest()


def applied(matrix: ArrayLike, XYZ: ArrayLike) -> Real:
    """Return corrected X, Y, Z of ``(..., 3)``."""
    return np.asarray(np.asarray(XYZ, np.float64) @ np.asarray(matrix, np.float64).T, dtype=np.float64)


def four_colour(meter_RGBW: ArrayLike, reference_RGBW: ArrayLike) -> Real:
    """Return the matrix by the four-colour method (Ohno and Hardis, IS&T CIC 1997).

    Only x, y of red, green and blue enter, so a display or a meter that wanders in luminance between the colours does
    no harm; white sets their balance and the luminance factor.

    Args:
        meter_RGBW: X, Y, Z of red, green, blue, white by the probe, ``(4, 3)``.
        reference_RGBW: the same by the reference instrument.
    """
    meter, reference = _rows(meter_RGBW), _rows(reference_RGBW)
    if len(meter) != 4 or len(reference) != 4:
        raise UsageError("The four-colour method needs red, green, blue and white, each by both instruments.")
    M, R = _balanced(meter, "probe"), _balanced(reference, "reference instrument")
    unscaled = R @ np.linalg.inv(M)
    luminance = reference[3, 1] / (unscaled @ meter[3])[1]
    return np.asarray(luminance * unscaled, dtype=np.float64)


def least_squares(meter: ArrayLike, reference: ArrayLike) -> Real:
    """Return R = N Mᵀ (M Mᵀ)⁻¹ over n colours, least in r.m.s. of X, Y, Z (ASTM E1455).

    Args:
        meter: X, Y, Z by the probe, ``(n, 3)``, n at least 3.
        reference: the same by the reference instrument.
    """
    M, N = _rows(meter), _rows(reference)
    if len(M) < 3 or len(M) != len(N):
        raise UsageError("The least-squares method needs at least three colours, each by both instruments.")
    _refuse_near_singular(M.T / np.linalg.norm(M, axis=1), "probe")
    return np.asarray(np.linalg.solve(M.T @ M, M.T @ N).T, dtype=np.float64)


def residuals_of(
    matrix: ArrayLike, meter: ArrayLike, reference: ArrayLike, names: Sequence[str]
) -> tuple[Residual, ...]:
    """Return what the matrix leaves of each colour."""
    fixed, true = applied(matrix, meter), _rows(reference)
    away = distance_uv_prime(uv_prime_of(fixed), uv_prime_of(true))
    loss = 100 * (fixed[:, 1] / true[:, 1] - 1)
    return tuple(Residual(n, float(p), float(d)) for n, p, d in zip(names, loss, away, strict=True))


def correction_text(correction: Correction) -> str:
    """Return the contents of ``correction.toml``."""
    matrix = ",\n".join("  [" + ", ".join(repr(float(v)) for v in row) + "]" for row in correction.matrix)
    blocks = "".join(
        f"\n[[residuals]]\ncolour = {_quoted(r.colour)}\nluminance_percent = {r.luminance_percent:.4f}\n"
        f"duv_prime = {r.duv_prime:.6f}\n"
        for r in correction.residuals
    )
    return (
        "# Correction matrix of the probe for one panel: true X, Y, Z = matrix times what the probe says.\n"
        "# Valid only for this panel's primaries and while white is the sum of red, green and blue.\n"
        "# Keep the old file when you make a new one: figures of old checkpoints belong to it.\n"
        f"date = {_quoted(correction.date)}\n"
        f"panel = {_quoted(correction.panel)}\n"
        f"reference = {_quoted(correction.reference)}\n"
        f"method = {_quoted(correction.method)}   # {METHODS.get(correction.method, 'unknown')}\n"
        f"sha256 = {_quoted(correction.digest())}   # of the matrix\n"
        f"matrix = [\n{matrix},\n]\n{blocks}"
    )


def looks_like(data: Mapping[str, Any]) -> bool:
    """Tell a correction file from our other TOML files by its content."""
    return "matrix" in data and "method" in data


def parse_correction(data: Mapping[str, Any], where: str = "correction.toml") -> Correction:
    """Read the parsed contents of ``correction.toml``; ``FileFault`` lists every fault."""
    problems = [f"{where}: {k} is missing or no text." for k in ("date", "panel", "reference", "method")
                if not isinstance(data.get(k), str)]  # fmt: skip
    matrix = _matrix_of(data.get("matrix"))
    if matrix is None:
        problems.append(f"{where}: matrix must be three rows of three numbers.")
    elif not np.linalg.cond(matrix) < LARGEST_CONDITION:
        problems.append(f"{where}: matrix is near-singular; it cannot come from a usable set of colours.")
    residuals = data.get("residuals", [])
    try:
        left = tuple(
            Residual(str(r["colour"]), float(r["luminance_percent"]), float(r["duv_prime"])) for r in residuals
        )
    except (KeyError, TypeError, ValueError):
        problems.append(f"{where}: each [[residuals]] needs colour, luminance_percent and duv_prime.")
        left = ()
    if problems or matrix is None:
        raise FileFault(tuple(problems))
    found = Correction(
        matrix, str(data["method"]), str(data["panel"]), str(data["date"]), str(data["reference"]), left
    )  # fmt: skip
    stated = data.get("sha256", found.digest())
    if stated != found.digest():
        raise FileFault((f"{where}: the matrix does not match its sha256; it was edited or damaged.",))
    return found


def load_correction(path: Path) -> Correction:
    """Read a correction file; ``FileFault`` when it is missing or has faults."""
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise FileFault(
            (f"{path}: there is no such correction file; make one with 'panelwear probe correct'.",)
        ) from None
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise FileFault((f"{path}: cannot be read as TOML: {error}.",)) from None
    return parse_correction(data, str(path))


def _matrix_of(given: object) -> Real | None:
    try:
        matrix = np.array(given, dtype=np.float64)
    except (TypeError, ValueError):
        return None
    return matrix if matrix.shape == (3, 3) and bool(np.isfinite(matrix).all()) else None


def _rows(values: ArrayLike) -> Real:
    rows = np.asarray(values, dtype=np.float64)
    if rows.ndim != 2 or rows.shape[1] != 3 or not np.isfinite(rows).all() or (rows[:, 1] <= 0).any():
        raise UsageError("Each colour needs finite X, Y, Z in cd/m² with Y above 0.")
    return rows


def _balanced(RGBW: Real, whose: str) -> Real:
    """Return x, y, z of the primaries as columns, scaled so that they add up to the white's x, y, z."""
    xy = xy_of(RGBW)
    columns = np.stack([xy[:, 0], xy[:, 1], 1 - xy[:, 0] - xy[:, 1]])
    _refuse_near_singular(columns[:, :3], whose)
    return np.asarray(columns[:, :3] * np.linalg.solve(columns[:, :3], columns[:, 3]), dtype=np.float64)


def _refuse_near_singular(columns: Real, whose: str) -> None:
    condition = float(np.linalg.cond(columns))
    if not condition < LARGEST_CONDITION:
        raise UsageError(
            f"The colours read by the {whose} lie almost on one line (condition {condition:.0f}): no matrix can be "
            "made of them. Read saturated red, green and blue, each once, and check that none was read twice."
        )


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)
