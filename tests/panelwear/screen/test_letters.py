"""The type family: it comes along, it is kerned, it has every sign that is written, its lines break and are cut."""

from __future__ import annotations

from collections.abc import Iterator
from importlib import resources
from io import BytesIO
from typing import Any

import numpy as np
import pytest
from fontTools.ttLib import TTFont  # type: ignore[import-untyped,unused-ignore]

from panelwear.screen.letters import WIDTHS_KEPT, Face, cut, cut_before, forget_fonts, wrap
from panelwear.screen.palette import CAPITAL_SHARE

pygame: Any = pytest.importorskip("pygame")
FACES = ("Inter-Regular.otf", "Inter-Bold.otf")
SIGNS = "°²·×±−′Δ→↑↓…≤≥µ½“”‘’–—ΔΩ∞√≈"


@pytest.fixture(autouse=True)
def fonts() -> Iterator[None]:
    forget_fonts()
    yield
    forget_fonts()


def font_file(name: str) -> Any:
    return TTFont(BytesIO((resources.files("panelwear.screen") / "faces" / name).read_bytes()))


@pytest.mark.parametrize("name", FACES)
def test_the_faces_are_found_as_shipped_and_have_every_sign(name: str) -> None:
    there = font_file(name).getBestCmap()
    assert [sign for sign in SIGNS if ord(sign) not in there] == []
    assert (resources.files("panelwear.screen") / "faces" / "OFL.txt").read_text().count("SIL OPEN FONT LICENSE") == 1


def test_a_capital_is_as_high_as_the_files_say() -> None:
    metrics, head = font_file(FACES[0])["OS/2"], font_file(FACES[0])["head"]
    assert metrics.sCapHeight / head.unitsPerEm == pytest.approx(CAPITAL_SHARE, abs=0.0005)
    surface = drawn("H", 100)
    lit = np.flatnonzero(pygame.surfarray.array3d(surface).any(axis=(0, 2)))
    assert lit[-1] - lit[0] + 1 == pytest.approx(72.7, abs=1.5)


def drawn(text: str, size: int) -> Any:
    surface = pygame.Surface((1200, 200), depth=32)
    Face.cached(size).draw(surface, text, (10, 10), (200, 180, 160))
    return surface


@pytest.mark.parametrize("size", [20, 48])
def test_pairs_are_kerned(size: int) -> None:
    face = Face.cached(size)
    assert face.width("AVAVAVAVAV") < sum(face.width(letter) for letter in "AVAVAVAVAV")
    lit = pygame.surfarray.array3d(drawn("AVAVAVAVAV", size)).any(axis=(1, 2))
    assert np.flatnonzero(lit)[-1] - 10 == pytest.approx(face.width("AVAVAVAVAV"), abs=3)


def test_letters_stand_as_their_widths_say_not_on_whole_pixels() -> None:
    small, large = Face.cached(17), Face.cached(170)
    text = "anybody may mix the two of them at the lower left"
    assert small.width(text) == pytest.approx(large.width(text) / 10, rel=0.02)


def test_no_pixel_is_brighter_than_the_ink_and_capitals_stand_in_the_middle_of_their_line() -> None:
    for size in (14, 20, 60):
        picture = pygame.surfarray.array3d(drawn("HEM", size))
        brightest = picture.reshape(-1, 3).max(axis=0)
        assert (brightest <= [200, 180, 160]).all() and (brightest >= [180, 162, 144]).all()
        lit = np.flatnonzero(picture.any(axis=(0, 2)))
        assert (lit[0] + lit[-1] + 1) / 2 - 10 == pytest.approx(Face.cached(size).line_px / 2, abs=1.5)


def test_lines_break_at_spaces_and_longer_words_inside() -> None:
    face = Face.cached(20)
    lines = wrap("The probe sits\nat checkpoints/2026-02-03-h1460-harbour-desk-of-the-north-basin today", face, 200)
    assert all(face.width(line) <= 200 for line in lines)
    assert lines[0] == "The probe sits"
    assert "".join(lines[1:]).replace(" ", "").startswith("atcheckpoints/2026-02-03-h1460-harbour-desk-of")


def test_what_is_cut_says_so() -> None:
    face = Face.cached(20)
    assert cut("short", face, 200) == "short" and cut_before("short", face, 200) == "short"
    ends, begins = (
        cut("a long line that does not fit", face, 120),
        cut_before("a long line that does not fit", face, 120),
    )
    assert ends.startswith("a long") and ends.endswith("…") and face.width(ends) <= 120
    assert begins.endswith("not fit") and begins.startswith("…") and face.width(begins) <= 120


def test_a_width_is_measured_once_and_not_remembered_without_end(monkeypatch: pytest.MonkeyPatch) -> None:
    measured: list[str] = []

    class Counted:
        def size(self, text: str) -> tuple[int, int]:
            measured.append(text)
            return 30 * len(text), 30

    face = Face(20)
    monkeypatch.setattr(face, "_font", Counted())
    assert [face.width("probe"), face.width("probe"), face.width("zone")] == [50, 50, 40]
    assert measured == ["probe", "zone"]
    for n in range(2 * WIDTHS_KEPT):
        face.width(str(n))
    assert len(face._widths) <= WIDTHS_KEPT
