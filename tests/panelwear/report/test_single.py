"""Each figure alone: sizes, looks, words, scale, and that nothing else is overwritten."""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from PIL import Image

from panelwear.cli import main
from panelwear.errors import UsageError
from panelwear.report.content import Picture, Report, StripChart
from panelwear.report.pictures.alone import FORMATS, Format, alone
from panelwear.report.pictures.style import DARK, LIGHT, Palette
from panelwear.report.single import source_of, write_figures
from tests.panelwear.report import desk

SOURCE = "Source: a panel, invented."
SVG = "{http://www.w3.org/2000/svg}"


def picture(key: str) -> Picture:
    return next(p for p in desk.report(*desk.HOURS).pictures if p.key == key)


def words(svg: bytes) -> list[str]:
    root = ElementTree.fromstring(svg)  # noqa: S314 - our own picture
    return ["".join(e.itertext()).replace("\u00a0", " ") for e in root.iter(f"{SVG}text")]


@pytest.mark.parametrize("palette", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("size", FORMATS, ids=[f.name for f in FORMATS])
def test_both_files_have_the_size_the_ground_and_the_title(size: Format, palette: Palette) -> None:
    one = picture("zone-hours")
    svg, png = alone(one, palette, size, SOURCE)
    drawn = Image.open(io.BytesIO(png)).convert("RGB")
    assert drawn.size == (size.width_px, size.height_px)
    ground = tuple(int(palette.paper[i : i + 2], 16) for i in (1, 3, 5))
    assert {drawn.getpixel((0, 0)), drawn.getpixel((size.width_px - 1, size.height_px - 1))} == {ground}
    root = ElementTree.fromstring(svg)  # noqa: S314 - our own picture
    assert (root.get("width"), root.get("height")) == (str(size.width_px), str(size.height_px))
    wide, high = (float(v) for v in str(root.get("viewBox")).split()[2:])
    assert wide / high == pytest.approx(size.width_px / size.height_px, rel=1e-3)
    said = words(svg)
    assert one.title in said
    assert any(SOURCE in line for line in said)
    assert "against the reference (%)" in said


@pytest.mark.parametrize("key", ["zones", "strip", "evenness"])
def test_a_map_has_its_scale_and_unit_printed(key: str) -> None:
    one = picture(key)
    said = words(alone(one, LIGHT, FORMATS[0], SOURCE)[0])
    assert any(line.endswith("(%)") for line in said)
    limits = [line for line in said if line.startswith("+") and line[1:].isdigit()]
    assert len(limits) >= 2
    assert f"deepest colours stand for −{max(limits)[1:]} % and +{max(limits)[1:]} %" in " ".join(said)


def test_all_outlines_of_the_strip_stand_on_one_scale() -> None:
    chart = picture("strip").chart
    assert isinstance(chart, StripChart)
    outline = picture("zones").chart
    limits = {one.limit for _, one, _ in chart.maps}
    assert limits == {outline.limit}  # type: ignore[union-attr]
    assert max(abs(a.value) for _, one, _ in chart.maps for a in one.areas if np.isfinite(a.value)) <= outline.limit  # type: ignore[union-attr]
    assert [title.partition("\n")[0] for title, _, _ in chart.maps] == ["0 h", "2000 h", "4400 h"]


@pytest.mark.parametrize("size", FORMATS, ids=[f.name for f in FORMATS])
def test_nothing_is_cut_off_and_words_lie_over_no_others(size: Format) -> None:
    from panelwear.report.pictures.alone import _figure
    from panelwear.report.pictures.style import looks

    for one in desk.report(*desk.HOURS).pictures:
        with looks(LIGHT):
            figure = _figure(one, LIGHT, size, source_of(desk.report(*desk.HOURS)))
            figure.draw_without_rendering()
            title, foot = (text.get_window_extent() for text in figure.texts[-2:])
            inside = figure.get_tightbbox()
            axes = [a.get_tightbbox() for a in figure.axes]
        assert inside.x0 >= 0, one.key
        assert inside.x1 <= size.size_in[0] + 0.02, one.key
        assert all(box.y1 <= title.y0 + 1 and box.y0 >= foot.y1 - 1 for box in axes if box is not None), one.key


def test_the_same_numbers_give_the_same_bytes() -> None:
    assert alone(picture("plane"), DARK, FORMATS[1], SOURCE) == alone(picture("plane"), DARK, FORMATS[1], SOURCE)


def only(*keys: str) -> Report:
    report = desk.report(*desk.HOURS)
    sections = tuple(replace(s, pictures=tuple(p for p in s.pictures if p.key in keys)) for s in report.sections)
    return replace(report, opening=replace(report.opening, outline=None, strip=None), sections=sections)


def test_each_figure_is_written_eight_times_and_again_over_itself(tmp_path: Path) -> None:
    written = write_figures(only("ramp"), tmp_path / "new" / "figures")
    assert len(written) == 8
    assert {p.name for p in written} == {
        f"ramp-{size}-{look}.{kind}" for size in ("1920x1080", "1080x1080") for look in ("light", "dark")
        for kind in ("svg", "png")
    }  # fmt: skip
    before = {p: p.read_bytes() for p in written}
    assert write_figures(only("ramp"), tmp_path / "new" / "figures") == written
    assert {p: p.read_bytes() for p in written} == before


def test_a_file_from_elsewhere_is_kept_and_nothing_is_written(tmp_path: Path) -> None:
    foreign = tmp_path / "ramp-1080x1080-dark.png"
    foreign.write_bytes(b"\x89PNG of somebody else")
    with pytest.raises(UsageError, match="is no figure of this program; it is not overwritten"):
        write_figures(only("ramp"), tmp_path)
    assert [p.name for p in tmp_path.iterdir()] == [foreign.name]


def test_a_report_without_figures_is_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="there is no figure to draw yet"):
        write_figures(only(), tmp_path)


def test_invented_numbers_are_said_to_be_below_every_figure() -> None:
    assert "Invented" in source_of(desk.report(*desk.HOURS))
    assert "harbour-desk, 3 checkpoints" in source_of(desk.report(*desk.HOURS))


@pytest.mark.slow
def test_the_command_writes_them_all_and_no_page(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    made = desk.folder(tmp_path / "harbour-desk", (0.0, 4400.0))
    assert main(["report", str(made), "--figures", str(tmp_path / "out")]) == 0
    assert "10 figures in 80 files" in capsys.readouterr().out
    assert len(list((tmp_path / "out").iterdir())) == 80
    assert list((made / "reports").iterdir()) == []
