"""A desk on a real X server: lines at the panel's own pixels, dim, and nothing of it a step of light."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from groundwork.clock import RealClock
from panelwear.screen.bands import blank
from panelwear.screen.card import codes_for
from panelwear.screen.desk import Backdrop, Desk, Edge, Label, Ring, SideCard
from panelwear.screen.desk_sheet import SHARES, dimmed_codes, ink_cd_m2, picture_cd_m2
from panelwear.screen.governor import Governor, Viewing
from panelwear.screen.light import LINEAR, LUMINANCE_SHARES
from panelwear.screen.page import Page, Room
from panelwear.screen.window import PygameScreen, open_screen
from patterns.frame import Picture, Rect

W, H = 640, 360
PEAK_CD_M2 = 250.0
CARD = SideCard("a zone", (("size", "10 x 10 px"),), "na", (("Fits.", "plain"),), (("h", "all keys"),))
ROOMS: tuple[Room, ...] = ("dark", "lit")
WHITE = Backdrop(np.full((H, W), 255, np.uint8))


@pytest.fixture(scope="module")
def screen() -> Iterator[PygameScreen]:
    opened = open_screen(clock=RealClock(), off_screen=(W, H), peak_cd_m2=PEAK_CD_M2)
    yield opened
    opened.close()


def luminance(picture: Picture) -> np.ndarray:
    return LINEAR[picture] @ LUMINANCE_SHARES * PEAK_CD_M2


def desk(**what: object) -> Desk:
    return Desk("a desk", CARD, **what)  # type: ignore[arg-type]


def test_a_line_takes_exactly_its_pixels(screen: PygameScreen) -> None:
    screen.desk(desk(edges=(Edge((20, 30), (120, 30)), Edge((20, 30), (20, 90)))))
    lit = screen.pixels()[:150, :200].any(axis=2)
    wanted = np.zeros_like(lit)
    wanted[30, 20:120] = wanted[30:90, 20] = True
    assert np.array_equal(lit, wanted)


def test_a_dotted_line_has_gaps(screen: PygameScreen) -> None:
    screen.desk(desk(edges=(Edge((20, 30), (120, 30), dotted=True),)))
    assert 40 <= screen.pixels()[30, 20:120].any(axis=1).sum() <= 60


def test_a_ring_has_its_radii_across_and_down(screen: PygameScreen) -> None:
    screen.desk(desk(rings=(Ring((100.0, 80.0), (40.0, 20.0)),)))
    lit = screen.pixels()[:150, :200].any(axis=2)
    rows, columns = np.nonzero(lit)
    assert (columns.min(), columns.max(), rows.min(), rows.max()) == (60, 139, 60, 99)


def test_labels_do_not_stand_on_each_other(screen: PygameScreen) -> None:
    one = desk(labels=(Label((10, 10), "chart"),))
    screen.desk(one)
    alone = screen.pixels()[:100, :200].any(axis=2)
    screen.desk(desk(labels=(Label((10, 10), "chart"), Label((12, 12), "badge"))))
    both = screen.pixels()[:100, :200].any(axis=2)
    assert np.array_equal(both[: np.nonzero(alone)[0].max() + 1], alone[: np.nonzero(alone)[0].max() + 1])
    assert both.sum() > alone.sum()


def test_a_label_stays_on_the_panel(screen: PygameScreen) -> None:
    for at in ((W - 3, H - 3), (0, 0)):
        screen.desk(desk(labels=(Label(at, "badge, too narrow"),)))
        assert screen.pixels()[:60, :120].any() or screen.pixels()[-40:].any()


@pytest.mark.parametrize("corner", ["top-left", "top-right", "bottom-left", "bottom-right"])
def test_the_card_lies_in_its_corner(screen: PygameScreen, corner: str) -> None:
    screen.desk(Desk("a desk", SideCard("a zone", corner=corner)))
    rows, columns = np.nonzero(screen.pixels().any(axis=2))
    assert (rows.max() < H / 2) == corner.startswith("top")
    assert (columns.max() < W / 2) == corner.endswith("left")


@pytest.mark.parametrize("room", ["dark", "lit"])
@pytest.mark.parametrize("backdrop", [None, WHITE])
def test_it_stays_dim_and_lines_stand_out_of_the_picture(
    screen: PygameScreen, room: Room, backdrop: Backdrop | None
) -> None:
    edge = Edge((20, 30), (320, 30), "strong")
    screen.desk(desk(edges=(edge,), backdrop=backdrop, room=room, handles=(Rect(300, 100, 6, 6),)))
    light = luminance(screen.pixels())
    most = ink_cd_m2(room, backdrop is not None, PEAK_CD_M2)
    white = picture_cd_m2(room, PEAK_CD_M2)
    assert light.max() <= most
    assert light[30, 100] > 0.7 * most
    if backdrop is not None:
        assert 0.6 * white < light[200, 20] <= white <= (1.0 if room == "dark" else 5.0)
        assert light[30, 100] > 2.5 * light[200, 20]
        assert light[29, 100] == 0  # a dark seam beside the line


@pytest.mark.parametrize("peak_cd_m2", [40.0, 250.0, 1500.0])
def test_a_desk_is_no_step_of_light_that_counts_so_it_goes_along_with_the_hand(peak_cd_m2: float) -> None:
    governor = Governor(Viewing(W, H, peak_cd_m2=peak_cd_m2))
    black = governor.codes_of(blank(W, H))
    governor.took(black, 0.0, 0.0, big=True)
    inks: list[tuple[int, int, int]] = []
    for room in ROOMS:
        lines = [codes_for(ink_cd_m2(room, over, peak_cd_m2), peak_cd_m2) for over in (False, True)]
        picture = dimmed_codes(picture_cd_m2(room, peak_cd_m2), peak_cd_m2)[255]
        inks += [*lines, (picture, picture, picture)]
    for codes in inks:
        everywhere = np.broadcast_to(np.array(codes, np.uint8), black.shape)
        assert not governor.permit(everywhere, 10.0).big


@pytest.mark.parametrize("room", ROOMS)
@pytest.mark.parametrize("backdrop", [None, WHITE])
def test_no_pixel_is_a_saturated_red_that_words_in_motion_would_flash(
    screen: PygameScreen, room: Room, backdrop: Backdrop | None
) -> None:
    labels = tuple(Label((7 * n, 20 * n), "badge, too narrow", tone) for n, tone in enumerate(SHARES))
    screen.desk(desk(labels=labels, backdrop=backdrop, room=room, rings=(Ring((300.0, 80.0), (40.0, 20.0)),)))
    linear = LINEAR[screen.pixels()]
    lit = linear[..., 0] > 0
    assert lit.any() and (linear[lit][:, 0] / linear[lit].sum(axis=1)).max() < 0.8


def test_a_page_takes_its_place_and_rows_are_found_there_alone(screen: PygameScreen) -> None:
    screen.desk(desk())
    assert screen.row_at(W // 2, H // 2) == ""
    screen.page(Page("a page", ()))
    screen.desk(desk(edges=(Edge((20, 30), (120, 30)),)))
    assert screen.pixels()[30, 60].any()


@given(st.floats(0.1, 60.0), st.floats(50.0, 2000.0))
def test_dimmed_greys_keep_their_order_and_never_exceed_white(white_cd_m2: float, peak_cd_m2: float) -> None:
    codes = dimmed_codes(white_cd_m2, peak_cd_m2)
    assert codes == sorted(codes) and len(codes) == 256 and codes[0] == 0
    assert (codes[255] / 255) ** 2.2 * peak_cd_m2 <= white_cd_m2 * (1 + 1e-9)
