"""A 3 x 3 matrix that corrects a filter colorimeter for one panel, from readings beside a reference instrument.

Holds for the primaries it was made on, and only while the channels add.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from groundwork.documents import parse_toml
from groundwork.files import content
from groundwork.tables import LOOSE, made_by, read
from panelwear.colorimetry.basic import distance_uv_prime, uv_prime_of, xy_of
from panelwear.errors import FileFault, UsageError

Real = NDArray[np.float64]

METHODS = {"four-colour": "red, green, blue and white by chromaticity (Ohno and Hardis 1997)",
           "least-squares": "n colours by tristimulus values (ASTM E1455)"}  # fmt: skip
LARGEST_CONDITION = 200.0
"""Above it the colours lie so near a line that the matrix would magnify noise more than it mends the colour."""


@dataclass(frozen=True, slots=True)
class Residual:
    """What the matrix leaves of one colour it was made from; a ``[[residuals]]`` block too."""

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
    forced: str = ""
    """Why a person wanted it against what the program held against it; else empty."""

    def digest(self) -> str:
        """Return the digest of the matrix alone, as recorded with every checkpoint it is applied to."""
        numbers = [[float(v) for v in row] for row in self.matrix]
        return hashlib.sha256(json.dumps(numbers, separators=(",", ":")).encode()).hexdigest()


def _matrix(rows: list[object], _about: object) -> Real:
    try:
        matrix = np.array(rows, dtype=np.float64)
    except (TypeError, ValueError, OverflowError):
        matrix = np.empty(0)
    if matrix.shape != (3, 3) or not np.isfinite(matrix).all():
        raise ValueError("must be three rows of three numbers")
    if not np.linalg.cond(matrix) < LARGEST_CONDITION:
        raise ValueError("is near-singular; it cannot come from a usable set of colours")
    return matrix


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
        + (
            f"forced = {_quoted(correction.forced)}   # against what the program held against it\n"
            if correction.forced
            else ""
        )
        + f"sha256 = {_quoted(correction.digest())}   # of the matrix\n"
        f"matrix = [\n{matrix},\n]\n{blocks}"
    )


@dataclass(frozen=True, slots=True, eq=False)
class _CorrectionFile:
    """``correction.toml``."""

    date: str
    panel: str
    reference: str
    method: str
    matrix: Real = field(metadata=made_by(_matrix, takes=list, wanted="three rows of three numbers"))
    sha256: str = ""
    residuals: tuple[Residual, ...] = field(default=(), metadata=LOOSE)
    forced: str = ""

    def correction(self) -> Correction:
        """Return what it holds."""
        return Correction(self.matrix, self.method, self.panel, self.date, self.reference, self.residuals, self.forced)

    def faults(self) -> Iterator[tuple[str, str]]:
        """Say when the matrix is not the one that was written."""
        if self.sha256 and self.sha256 != self.correction().digest():
            yield "matrix", "does not match its sha256; it was edited or damaged"


def looks_like(data: Mapping[str, Any]) -> bool:
    """Tell a correction file from our other TOML files by its content."""
    return "matrix" in data and "method" in data


def parse_correction(data: Mapping[str, Any], where: str = "correction.toml") -> Correction:
    """Read the parsed contents of ``correction.toml``; ``FileFault`` lists every fault."""
    return read(_CorrectionFile, data, where, FileFault, unknown_too=False).correction()


def load_correction(path: Path) -> Correction:
    """Read a correction file; ``FileFault`` when it is missing or has faults."""
    try:
        raw = content(path)
    except FileNotFoundError:
        raise FileFault(
            (f"{path}: there is no such correction file; make one with 'panelwear probe correct'.",)
        ) from None
    except OSError as error:
        raise FileFault((f"{path}: cannot be read ({error.strerror})",)) from None
    return parse_correction(parse_toml(raw, str(path), FileFault), str(path))


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
