"""How pages are drawn: nothing lies over anything, the chosen row is seen, dark is dark, a choice is no flash."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelwear.screen.form import LEAVE, TAKE, begun, moved
from panelwear.screen.form_page import page_of
from panelwear.screen.governor import Governor, Viewing
from panelwear.screen.letters import Face, forget_fonts
from panelwear.screen.light import LINEAR, LUMINANCE_SHARES
from panelwear.screen.operator import Inquiry
from panelwear.screen.page import Bar, Box, Buttons, Dot, Drawing, Item, Items, Page, Stroke, Words
from panelwear.screen.palette import CAPITAL_DEG
from panelwear.screen.pen import Area, Sizes
from panelwear.screen.questions import QUESTIONS
from panelwear.screen.sheet import Sheet
from panelwear.screen.sketch import place_label

pygame: Any = pytest.importorskip("pygame")
SIZES = [(1280, 720), (1920, 1080), (3840, 2160)]
KEYS = (("up, down", "choose"), ("Return", "take it"), ("Escape", "leave; nothing is lost"), ("h", "all keys"))
OUTLINE = Drawing(
    (
        Box((0, 0, 1, 1), strong=True),
        Box((0, 0, 0.2, 1), "vessel-list", filled=True),
        Box((0.2, 0, 0.8, 1), "chart"),
        Box((0.88, 0.02, 0.11, 0.1), "clock-badge", strong=True),
        Dot((0.3, 0.8), 0.03, "probe"),
        Stroke(((0.6, 0.3), (0.34, 0.74)), arrow=True),
    ),
    height_share=0.3,
)


def rows_of(count: int, start: str = "row", **more: Any) -> tuple[Item, ...]:
    return tuple(Item(f"{start}{n}", f"{start} number {n}", **more) for n in range(count))


FULL = Page(
    "Before the first light",
    (
        Words("All answers are last time's. Return takes all of them."),
        Items(
            (*rows_of(3, "question", value="12.5", entry=True, mark="changed"), *rows_of(3, "choice", note="a note"))
        ),
        Words("What differs costs the comparison with last time.", "warning"),
        Bar(0.4),
        OUTLINE,
        Buttons(rows_of(3, "button", value="Esc")),
    ),
    chosen="question1",
    keys=KEYS,
)
LONG = Page("Choose a panel", (Words("Those known."), Items(rows_of(60)), Buttons(rows_of(2, "button"))), "row30", KEYS)


@pytest.fixture(autouse=True)
def fonts() -> Iterator[None]:
    forget_fonts()
    yield
    forget_fonts()


def drawn(page: Page, size: tuple[int, int] = (1280, 720)) -> tuple[dict[str, Area], Any]:
    """Rows of a page, and its codes as ``(width, height, 3)``."""
    surface = pygame.Surface(size, depth=32)
    rows = Sheet(surface, page, Viewing(*size)).draw()
    return rows, pygame.surfarray.array3d(surface)


def light(codes: Any) -> Any:
    return LINEAR[codes] @ LUMINANCE_SHARES * 300.0


def apart(one: Area, other: Area) -> bool:
    x, y, w, h = one
    return x + w <= other[0] or other[0] + other[2] <= x or y + h <= other[1] or other[1] + other[3] <= y


def inside(area: Area, size: tuple[int, int]) -> bool:
    x, y, w, h = area
    return x >= 0 and y >= 0 and x + w <= size[0] and y + h <= size[1]


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("page", [FULL, LONG])
def test_rows_lie_inside_the_screen_and_clear_of_each_other(page: Page, size: tuple[int, int]) -> None:
    rows, _ = drawn(page, size)
    assert page.chosen in rows
    assert all(inside(area, size) for area in rows.values())
    assert all(apart(one, other) for one, other in combinations(rows.values(), 2))


def test_a_page_that_can_show_all_its_rows_does() -> None:
    rows, _ = drawn(replace(FULL, parts=tuple(part for part in FULL.parts if not isinstance(part, Drawing))))
    assert set(rows) == {item.id for item in FULL.items}
    questions = Page("Form", (Words("Take all."), Items(rows_of(13, value="1", entry=True)), Buttons(rows_of(2, "b"))))
    assert len(drawn(questions)[0]) == 15, "a form of thirteen questions is one form"


@pytest.mark.parametrize("size", SIZES)
def test_every_pixel_of_a_page_is_alike_on_a_larger_screen(size: tuple[int, int]) -> None:
    small, large = drawn(FULL)[0], drawn(FULL, size)[0]
    assert list(small) == list(large)
    scale = size[0] / 1280
    for name, area in small.items():
        assert np.allclose(np.array(large[name]) / scale, area, atol=14), name


@given(chosen=st.integers(0, 59), other=st.integers(0, 59))
def test_in_a_long_list_the_chosen_row_is_seen_and_nothing_moves_while_it_stays_on_the_part(
    chosen: int, other: int
) -> None:
    rows, _ = drawn(replace(LONG, chosen=f"row{chosen}"))
    assert f"row{chosen}" in rows
    assert {"button0", "button1"} <= set(rows)
    again, _ = drawn(replace(LONG, chosen=f"row{other}"))
    if f"row{other}" in rows:
        assert again == rows, "the mouse chooses what it is over: it must stay under it"


def test_arrow_keys_reach_every_row_of_a_long_list() -> None:
    seen = {name for n in range(0, 60) for name in drawn(replace(LONG, chosen=f"row{n}"))[0]}
    assert seen == {item.id for item in LONG.items}


def test_a_long_list_says_that_there_is_more() -> None:
    first, middle = drawn(replace(LONG, chosen="row0")), drawn(LONG)
    for (rows, codes), above in ((first, False), (middle, True)):
        shown = [area for name, area in rows.items() if name.startswith("row")]
        top, bottom = min(area[1] for area in shown), max(area[1] + area[3] for area in shown)
        assert codes[:, top - 25 : top - 3].any() == above
        assert codes[:, bottom + 3 : bottom + 25].any()


@pytest.mark.parametrize("page", [FULL, LONG])
def test_a_dark_page_shows_at_most_1_cd_m2(page: Page) -> None:
    _, codes = drawn(page)
    assert 0.7 <= light(codes).max() <= 1.0
    assert light(codes).mean() < 0.1


def test_a_lit_page_is_bright_enough_to_read_beside_a_lamp() -> None:
    _, codes = drawn(replace(FULL, room="lit"))
    assert 60 <= light(codes).max() <= 72
    assert light(codes).mean() < 6


def test_the_chosen_row_is_told_by_a_bar_and_not_by_colour_alone() -> None:
    rows, codes = drawn(LONG)
    plain = drawn(replace(LONG, chosen="button0"))[1]
    x, y, _, h = rows["row30"]
    bar = light(codes)[x : x + 3, y + 2 : y + h - 2]
    assert bar.min() > 0.5 and light(plain)[x : x + 3, y + 2 : y + h - 2].max() == 0


def test_a_caret_stands_where_is_typed() -> None:
    rows, codes = drawn(FULL)
    empty = drawn(replace(FULL, chosen="question0"))[1]
    x, y, w, h = rows["question1"]
    assert (light(codes)[x : x + w, y : y + h] > 0.7).sum() > (light(empty)[x : x + w, y : y + h] > 0.7).sum()


@pytest.mark.parametrize("room", ["dark", "lit"])
@pytest.mark.parametrize("peak_cd_m2", [150.0, 300.0, 600.0])
def test_going_through_rows_is_no_flash_and_waits_for_nothing(room: Any, peak_cd_m2: float) -> None:
    viewing = Viewing(1280, 720, peak_cd_m2=peak_cd_m2)
    governor = Governor(viewing)
    page = Page("Panel", (Items(rows_of(7, value="12 min")), Buttons(rows_of(3, "b"))), room=room)
    for n in range(7):
        surface = pygame.Surface((1280, 720), depth=32)
        Sheet(surface, replace(page, chosen=f"row{n}"), viewing).draw()
        points = governor.points
        codes = pygame.surfarray.array3d(surface)[points.x, points.y]
        permit = governor.permit(codes, 0.1 * n)
        assert n == 0 or not permit.big, "the choice moves ten rows a second"
        governor.took(codes, 0.1 * n, 0.1 * n, big=permit.big)


def test_labels_of_a_drawing_stand_clear_of_each_other() -> None:
    face, area = Face.cached(18), (100, 100, 600, 340)
    taken: list[Area] = []
    crowd = [Box((0.06 * n, 0.08 * n, 0.3, 0.3), f"zone number {n}") for n in range(8)] + [
        Dot((0.6 + 0.13 * n, 0.3), 0.01, f"place {n}") for n in range(3)
    ]
    for shape in crowd:
        text, at = place_label(shape, area, face, 6, taken)
        if text:
            box = (*at, face.width(text), face.line_px)
            assert all(apart(box, other) for other in taken)
            assert at[0] >= 100 and at[1] >= 100 and at[0] + box[2] <= 700 and at[1] + box[3] <= 440
            taken.append(box)
    assert len(taken) == len(crowd)


def test_a_label_keeps_clear_of_strokes_where_it_can() -> None:
    area, face = (0, 0, 600, 300), Face.cached(18)
    dot, line = Dot((0.5, 0.5), 0.01, "3"), ((300.0, 150.0), (600.0, 150.0))
    (_, beside), (_, clear) = (place_label(dot, area, face, 6, [], lines=lines) for lines in ((), (line,)))
    assert beside[0] > 300 and beside[1] < 150 < beside[1] + face.line_px
    assert clear[0] + face.width("3") < 300


def test_a_label_too_long_for_its_drawing_is_cut() -> None:
    long = Box((0, 0, 1, 1), "a name that is very much longer than this little drawing is wide")
    text, _ = place_label(long, (0, 0, 200, 100), Face.cached(18), 6, [])
    assert text.endswith("…") and text.startswith("a name")


@given(
    words=st.lists(st.text(max_size=200), max_size=3),
    labels=st.lists(st.tuples(st.text(max_size=60), st.text(max_size=80), st.booleans()), max_size=30),
    chosen=st.integers(0, 29),
)
def test_any_texts_keep_inside_the_screen_and_clear_of_each_other(
    words: list[str], labels: list[tuple[str, str, bool]], chosen: int
) -> None:
    items = tuple(Item(str(n), label, value, entry=entry) for n, (label, value, entry) in enumerate(labels))
    page = Page("Any", (*map(Words, words), Items(items), Buttons((Item("b", "Leave"),))), str(chosen), KEYS)
    rows, _ = drawn(page, (1280, 720))
    assert all(apart(one, other) for one, other in combinations(rows.values(), 2))
    assert all(x >= 0 and x + w <= 1280 for x, _, w, _ in rows.values())


@pytest.mark.parametrize("size", SIZES)
def test_all_questions_of_an_inspection_stand_on_one_screen_large_enough_and_do_not_jump(
    size: tuple[int, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    sizes: set[int] = set()
    draw = Face.draw

    def noted(face: Face, *said: Any) -> None:
        sizes.add(face.size)
        draw(face, *said)

    monkeypatch.setattr(Face, "draw", noted)
    form = begun(Inquiry(tuple(QUESTIONS.values())))
    tops, first = set(), ""
    for row in (*QUESTIONS, TAKE):
        sheet = Sheet(pygame.Surface(size), page_of(moved(form, row)), Viewing(*size))
        areas = sheet.draw()
        assert areas.keys() == {*QUESTIONS, TAKE, LEAVE}
        first = first or next(iter(areas))
        tops.add(areas[first][1])
    assert len(QUESTIONS) == 15
    assert len(tops) == 1
    viewing = Viewing(*size)
    assert 3 <= len(sizes) <= 4  # title, text, notes: the same on all of them
    px_per_mm = size[1] / viewing.active_area_mm[1]
    capital_mm = min(Face.cached(one).capital_px for one in sizes) / px_per_mm
    # From memory of plane trigonometry: an angle seen is twice the arc tangent of half the height over the distance.
    assert np.degrees(2 * np.arctan(capital_mm / 2 / viewing.distance_mm)) >= CAPITAL_DEG


def test_a_page_that_fits_is_laid_out_no_second_time_at_a_smaller_size(monkeypatch: pytest.MonkeyPatch) -> None:
    laid: list[int] = []
    lay_out = Sheet._laid

    def noted(sheet: Sheet, sizes: Sizes) -> Any:
        laid.append(sizes.text)
        return lay_out(sheet, sizes)

    monkeypatch.setattr(Sheet, "_laid", noted)
    drawn(Page("Short", (Items(rows_of(3)),), "row0", KEYS))
    assert len(laid) == 1
    drawn(LONG)
    assert len(laid) > 2
