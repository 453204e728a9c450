"""Gamut areas and coverage against the areas that follow from the published primaries."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelwear.colorimetry.basic import uv_prime_of_xy
from panelwear.colorimetry.gamut import STANDARDS_XY, area, coverage
from panelwear.figures.checkpoint import of_checkpoint
from tests.panelwear.compare.panels import NOTHING
from tests.panelwear.figures.handmade import Bench

# Areas from the primaries of ITU-R BT.709-6, BT.2020-2 and SMPTE RP 431-2 by the shoelace formula, worked out apart
# from this program (plain arithmetic, six digits).
AREAS = {"bt709": (0.112050, 0.064892), "p3": (0.152000, 0.081480), "bt2020": (0.211867, 0.111823)}
# Coverage in %, xy and u'v', by clipping with a general-purpose polygon routine.
COVERAGES = {
    ("bt709", "p3"): (73.72, 79.64),
    ("bt709", "bt2020"): (52.89, 58.03),
    ("p3", "bt2020"): (71.73, 72.85),
    ("p3", "bt709"): (100.0, 100.0),
    ("bt2020", "p3"): (99.98, 99.98),
}


@pytest.mark.parametrize("name", AREAS)
def test_areas_of_the_standards(name: str) -> None:
    xy = np.array(STANDARDS_XY[name])
    assert area(xy) == pytest.approx(AREAS[name][0], abs=6e-7)
    assert area(uv_prime_of_xy(xy)) == pytest.approx(AREAS[name][1], abs=6e-7)


@pytest.mark.parametrize(("one", "other"), COVERAGES)
def test_coverage_of_one_standard_by_another(one: str, other: str) -> None:
    first, second = np.array(STANDARDS_XY[one]), np.array(STANDARDS_XY[other])
    in_xy, in_uv = COVERAGES[one, other]
    assert 100 * coverage(first, second) == pytest.approx(in_xy, abs=0.006)
    assert 100 * coverage(uv_prime_of_xy(first), uv_prime_of_xy(second)) == pytest.approx(in_uv, abs=0.02)


points = st.tuples(st.floats(0.05, 0.7), st.floats(0.05, 0.8))


@given(st.tuples(points, points, points))
def test_coverage_agrees_with_counted_points(triangle: tuple[tuple[float, float], ...]) -> None:
    if area(triangle) < 0.01:
        return
    standard = np.array(STANDARDS_XY["bt709"])
    rng = np.random.default_rng(1)
    share = rng.dirichlet((1, 1, 1), 20_000)
    inside = _inside(share @ standard, np.array(triangle))
    assert coverage(triangle, standard) == pytest.approx(inside.mean(), abs=0.02)


def _inside(points: np.ndarray, triangle: np.ndarray) -> np.ndarray:
    """Barycentric coordinates, all above zero."""
    solved = np.linalg.solve(np.vstack([triangle.T, np.ones(3)]), np.vstack([points.T, np.ones(len(points))]))
    return np.asarray((solved >= 0).all(axis=0))


def test_a_panel_with_the_primaries_of_bt709_covers_it_whole_and_part_of_the_others() -> None:
    bench = Bench()
    bench.put()
    for hue, xy in zip(("red", "green", "blue"), STANDARDS_XY["bt709"], strict=True):
        bench.read(f"primary/centre/{hue}/c255/w10", "primary", 80.0, xy)
    found = of_checkpoint(bench.table(), NOTHING)
    assert found["gamut/bt709.xy.coverage"].value == pytest.approx(100.0, abs=1e-6)
    assert found["gamut/p3.uv_prime.coverage"].value == pytest.approx(79.64, abs=0.02)
    assert found["gamut/p3.xy.area"].value == pytest.approx(100 * 0.112050 / 0.152000, abs=0.01)


def test_triangles_apart_share_nothing() -> None:
    assert coverage([(0, 0), (0.1, 0), (0, 0.1)], [(0.5, 0.5), (0.6, 0.5), (0.5, 0.6)]) == 0.0
