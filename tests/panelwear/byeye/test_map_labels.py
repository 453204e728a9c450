"""Labels of the by-eye map never lie over each other."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from panelwear.byeye import map_picture
from panelwear.byeye.map_labels import meet, shifts
from panelwear.folder.panel import load_panel
from panelwear.upkeep.create import PanelSpec, new_panel
from patterns.frame import Rect
from sequences.model import Zone
from tests.panelwear.compare.test_command import mark
from tests.panelwear.compare.test_zones import match

BOUNDS = (0.0, 0.0, 1000.0, 2000.0)
BOXES = st.builds(
    lambda x, y, w, h: (x, y, x + w, y + h),
    st.floats(0, 800),
    st.floats(900, 1000),
    st.floats(5, 200),
    st.floats(5, 40),
)


@given(st.lists(BOXES, max_size=12))
def test_no_label_lies_over_another_and_the_first_keeps_its_place(wanted: list[tuple[float, ...]]) -> None:
    found = shifts(wanted, BOUNDS, gap=1.0)  # type: ignore[arg-type]
    placed = [(b[0], b[1] + by, b[2], b[3] + by) for b, by in zip(wanted, found, strict=True)]
    assert not any(meet(one, other) for n, one in enumerate(placed) for other in placed[:n])
    assert found[:1] in ([], [0.0])


def test_one_that_is_alone_stays_and_one_that_is_not_moves_by_no_more_than_it_must() -> None:
    assert shifts([(0, 0, 10, 10), (20, 0, 30, 10), (5, 4, 15, 14)], BOUNDS, gap=1.0) == [0.0, 0.0, 7.0]


def test_where_no_room_is_left_a_label_stays_where_it_was_wanted() -> None:
    assert shifts([(0, 0, 10, 10), (0, 0, 10, 10)], (0.0, 0.0, 10.0, 10.0)) == [0.0, 0.0]


def test_a_map_with_marks_and_a_match_on_one_zone_has_no_label_over_another(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    zone = Zone("clock-badge", Rect(1000, 40, 200, 100), (1100.0, 90.0))
    new_panel(tmp_path / "desk", PanelSpec("harbour-desk", 1280, 720, (596.7, 335.7), zones=(zone,)))
    marks = [replace(mark(1000 + 2 * n, 40 + n, 1200, 140), mark=n + 1) for n in range(4)]
    matches = [replace(match(2.1, zone="clock-badge"), rect_px="1000 40 200 100")]
    seen: list[list[tuple[float, float, float, float]]] = []
    part = map_picture._part_labels

    def part_and_look(figure: Figure, axes: Axes) -> None:
        part(figure, axes)
        figure.draw_without_rendering()
        boxes = [text.get_window_extent() for text in axes.texts]
        seen.append([(b.x0, b.y0, b.x1, b.y1) for b in boxes])

    monkeypatch.setattr(map_picture, "_part_labels", part_and_look)

    map_picture.write_map(tmp_path / "map.png", load_panel(tmp_path / "desk"), "demo", marks, matches)

    (labels,) = seen
    assert len(labels) == 6
    assert not any(meet(one, other) for n, one in enumerate(labels) for other in labels[:n])
