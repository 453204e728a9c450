"""Write the Planckian locus the colour temperatures are searched on, or say how far the stored one is from it.

Run ``python -m benchmarks.planckian_locus`` to compare, with ``--write`` to write it again.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

import panelwear.colorimetry
from benchmarks.support.colour_library import colour_science
from panelwear.colorimetry.cct import CCT_LIMITS_K, LOCUS

SPACING = 1.001
"""Ratio of neighbouring temperatures (smaller at high ones), as fine as the library's own default."""


def locus_of_the_library() -> NDArray[np.float64]:
    """Return T in K, u, v as ``(n, 3)``: Planck's law through the CIE 1931 observer at 1 nm, by colour-science."""
    colour = colour_science()
    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(colour.SPECTRAL_SHAPE_DEFAULT)
    table = colour.temperature.ohno2013.planckian_table(observer, *CCT_LIMITS_K, SPACING)
    return np.asarray(table, dtype=np.float64)


def main() -> int:
    """Compare, or write with ``--write``."""
    path = Path(panelwear.colorimetry.__file__).with_name(LOCUS)
    locus = locus_of_the_library()
    if "--write" in sys.argv[1:]:
        np.save(path, locus)
        print(f"{LOCUS}: {len(locus)} temperatures written")
    else:
        apart = np.abs(np.load(path) - locus).max(axis=0)
        print(f"{LOCUS}: largest difference {apart[0]:.1e} K, {apart[1]:.1e} in u, {apart[2]:.1e} in v")
    return 0


if __name__ == "__main__":
    sys.exit(main())
