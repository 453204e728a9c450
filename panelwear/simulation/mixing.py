"""How sub-pixels add up to white: chromaticities to tristimulus columns (additive mixture, CIE 15)."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Real = NDArray[np.float64]


def xyz_of(xy: ArrayLike, luminance_cd_m2: ArrayLike = 1.0) -> Real:
    """Give the tristimulus values of chromaticities ``(..., 2)`` at a luminance in cd/m²."""
    pairs = np.asarray(xy, dtype=np.float64)
    x, y = pairs[..., 0], pairs[..., 1]
    relative = np.stack([x / y, np.ones_like(x), (1 - x - y) / y], axis=-1)
    return np.asarray(relative * np.asarray(luminance_cd_m2, dtype=np.float64)[..., None])


def primaries_xyz(primaries_xy: ArrayLike, white_xy: ArrayLike, white_cd_m2: float) -> Real:
    """Share a white out to three primaries: rows are X, Y, Z of R, G, B at full drive, summing to the white.

    Args:
        primaries_xy: ``(3, 2)``.
        white_xy: ``(2,)``.
        white_cd_m2: luminance of the white.

    Source: solving ``P Yk = W``, the usual derivation of an RGB to XYZ matrix (SMPTE RP 177).
    """
    columns = xyz_of(primaries_xy)
    amounts = np.linalg.solve(columns.T, xyz_of(white_xy, white_cd_m2))
    return np.asarray(columns * amounts[:, None])
