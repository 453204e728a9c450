"""What speaks against paired readings and the matrix made of them, and what it does to colours it never saw."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from panelwear.colorimetry.correction import Correction, Residual, least_squares, residuals_of
from panelwear.colorimetry.pairs import Pair, Pairs

Real = NDArray[np.float64]

REPEATS_WITHIN = 0.10
"""Readings of one colour by one instrument agree within this share of the largest of X, Y, Z (common practice)."""
ALIKE_WITHIN = 1.5
"""Factor within which probe over reference luminance of one colour is that of the others (no filter set is worse)."""
DIAGONAL = (0.6, 1.6)
"""What X, Y, Z are multiplied with, once the luminance of white is right (common practice, no source)."""
BESIDE = 0.35
"""Largest believable element beside the diagonal, likewise."""
LOSS_PERCENT = 10.0
DUV_PRIME = 0.02
"""What a usable matrix leaves of a colour it was made from, at most."""
PROVES_NOTHING = 4
"""Up to so many colours a matrix fits by construction."""


def unlikely_rows(pairs: Pairs) -> tuple[str, ...]:
    """Say which rows cannot be right, from their repeats, else from the other colours: a sentence a row."""
    found: list[str] = []
    for colour in pairs.colours:
        rows = [row for row in pairs.rows if row.colour == colour]
        for whose in ("probe", "reference"):
            found += _strayed(rows, whose)
    return tuple(found) or tuple(_unlike(pairs))


def _strayed(rows: list[Pair], whose: str) -> Iterator[str]:
    """Hold each reading of a colour against the median of its repeats; of two, nobody knows which is wrong."""
    read = np.array([getattr(row, whose) for row in rows])
    middle = np.median(read, axis=0)
    away = np.abs(read - middle).max(axis=1) / np.abs(middle).max()
    if len(rows) == 2 and 2 * away[0] > REPEATS_WITHIN:
        lines = " and ".join(str(row.line) for row in rows)
        yield f"lines {lines} ({rows[0].colour}, {whose}) disagree by {200 * away[0]:.0f} %: one of them is wrong"
    elif len(rows) > 2:
        for row, far in zip(rows, away, strict=True):
            if far > REPEATS_WITHIN:
                yield (
                    f"line {row.line} ({row.colour}, {whose}) lies {100 * far:.0f} % from the middle of its "
                    f"{len(rows)} readings; a slipped decimal?"
                )


def _unlike(pairs: Pairs) -> Iterator[str]:
    """Hold each colour's probe over reference luminance against the other colours'."""
    ratio = pairs.probe[:, 1] / pairs.reference[:, 1]
    for i, colour in enumerate(pairs.colours):
        others = float(np.median(np.delete(ratio, i))) if len(ratio) > 1 else float(ratio[i])
        if not 1 / ALIKE_WITHIN < ratio[i] / others < ALIKE_WITHIN:
            lines = ", ".join(str(row.line) for row in pairs.rows if row.colour == colour)
            yield (
                f"line {lines} ({colour}): the probe's luminance is {ratio[i]:.3g} of the reference's, "
                f"{others:.3g} for the other colours; a slipped decimal, or columns or rows exchanged?"
            )


def objections_to(made: Correction) -> tuple[str, ...]:
    """Say why a matrix cannot be a correction of a colorimeter; nothing where it can."""
    found = []
    scale = float(np.median(np.diag(made.matrix)))
    even = made.matrix / scale if scale > 0 else made.matrix
    diagonal, beside = np.diag(even), even[~np.eye(3, dtype=bool)]
    if not scale > 0 or diagonal.min() < DIAGONAL[0] or diagonal.max() > DIAGONAL[1] or np.abs(beside).max() > BESIDE:
        found.append("the matrix changes X, Y, Z far more than filters can need; were rows or columns exchanged?")
    for left in made.residuals:
        # By chromaticity alone, what each primary's luminance leaves is the panel's wandering, or a channel that helps.
        loss = abs(left.luminance_percent) > LOSS_PERCENT and made.method == "least-squares"
        if not np.isfinite([left.luminance_percent, left.duv_prime]).all() or loss or left.duv_prime > DUV_PRIME:
            found.append(
                f"{left.colour} is left {left.luminance_percent:+.1f} % off in luminance and Δu′v′ {left.duv_prime:.4f}"
            )
    return tuple(found)


def left_out_in_turn(pairs: Pairs) -> tuple[Residual, ...]:
    """Return what a least-squares matrix made of all other colours leaves of each; empty up to four colours."""
    if len(pairs.colours) <= PROVES_NOTHING:
        return ()
    found: list[Residual] = []
    for i, colour in enumerate(pairs.colours):
        kept = np.arange(len(pairs.colours)) != i
        matrix = least_squares(pairs.probe[kept], pairs.reference[kept])
        found += residuals_of(matrix, pairs.probe[i : i + 1], pairs.reference[i : i + 1], (colour,))
    return tuple(found)
