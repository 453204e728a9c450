"""How much of a standard's colours three primaries can show: areas and coverage of chromaticity triangles."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Real = NDArray[np.float64]

STANDARDS_XY: dict[str, tuple[tuple[float, float], ...]] = {
    "bt709": ((0.640, 0.330), (0.300, 0.600), (0.150, 0.060)),  # ITU-R BT.709-6, table 1
    "bt2020": ((0.708, 0.292), (0.170, 0.797), (0.131, 0.046)),  # ITU-R BT.2020-2, table 3
    "p3": ((0.680, 0.320), (0.265, 0.690), (0.150, 0.060)),  # SMPTE RP 431-2
}
"""CIE 1931 x, y of red, green and blue."""
CALLED = {"bt709": "ITU-R BT.709", "bt2020": "ITU-R BT.2020", "p3": "DCI-P3"}


def area(corners: ArrayLike) -> float:
    """Return the area of a polygon, corners ``(n, 2)`` in order, either way round."""
    points = np.asarray(corners, dtype=np.float64).reshape(-1, 2)
    x, y = points.T
    after = np.concatenate([points[1:], points[:1]])
    return float(abs(x @ after[:, 1] - y @ after[:, 0]) / 2)


def coverage(primaries: ArrayLike, standard: ArrayLike) -> float:
    """Return the share of a standard's triangle that lies inside another; both ``(3, 2)`` in one diagram; at most 1.

    Clipped edge by edge (Sutherland and Hodgman 1974).
    """
    clip = _anticlockwise(primaries)
    left = _anticlockwise(standard)
    whole = area(left)
    for start, end in zip(clip, np.roll(clip, -1, axis=0), strict=True):
        left = _kept(left, start, end)
        if len(left) < 3:
            return 0.0
    return area(left) / whole


def _anticlockwise(triangle: ArrayLike) -> Real:
    points = np.asarray(triangle, dtype=np.float64).reshape(-1, 2)
    (x1, y1), (x2, y2) = points[1] - points[0], points[2] - points[0]
    return points if x1 * y2 - y1 * x2 > 0 else points[::-1]


def _kept(polygon: Real, start: Real, end: Real) -> Real:
    """Return the part of a polygon on the left of an edge."""
    edge = end - start
    side = edge[0] * (polygon[:, 1] - start[1]) - edge[1] * (polygon[:, 0] - start[0])
    found = []
    for i in range(len(polygon)):
        j = (i + 1) % len(polygon)
        if side[i] >= 0:
            found.append(polygon[i])
        if side[i] * side[j] < 0:
            share = side[i] / (side[i] - side[j])
            found.append(polygon[i] + share * (polygon[j] - polygon[i]))
    return np.array(found).reshape(-1, 2)
