"""The page itself: one file, well-formed, nothing from outside, everything escaped."""

from __future__ import annotations

import base64
import gzip
import re
from dataclasses import replace

import pytest

from panelwear.report.build import report_of
from panelwear.report.content import Area, MapChart, Picture, Report, ReportTable, Section, number, text
from panelwear.report.page import html_of
from tests.panelwear.report import desk
from tests.panelwear.report.page_reader import Page

EVIL = "<script>alert('x')</script>\"&$x_1$"
CSV = b"row,Y_cd_m2\r\n1,70.2\r\n"


@pytest.fixture(params=[(0.0,), desk.HOURS], ids=["one checkpoint", "three checkpoints"])
def hours(request: pytest.FixtureRequest) -> tuple[float, ...]:
    return tuple(request.param)


@pytest.fixture
def page(hours: tuple[float, ...]) -> Page:
    return Page(desk.page(*hours))


def test_tags_nest_and_none_is_left_open(page: Page) -> None:
    assert page.faults == []


def test_the_strict_reader_finds_a_fault() -> None:
    assert Page("<p><b>x</p>").faults
    assert Page("<div><p>x</p>").faults == ["<div> is never closed"]


def test_every_picture_says_in_words_what_it_shows(page: Page) -> None:
    pictures = page.of("img")
    assert len(pictures) >= 5
    for picture in pictures:
        assert len(picture["alt"]) > 40
        assert any(c.isdigit() for c in picture["alt"])


def test_every_table_has_a_caption_and_every_cell_a_head(page: Page) -> None:
    assert len(page.tables) >= 8
    for table in page.tables:
        assert table.caption
        assert all(table.heads)
        assert {len(row) for row in table.rows} == {len(table.heads)}


def test_every_picture_has_its_numbers_in_a_table_beside_it(page: Page, hours: tuple[float, ...]) -> None:
    captions = [t.caption for t in page.tables]
    pictures = desk.report(*hours).pictures
    assert len(pictures) == len(page.of("img"))
    for picture in pictures:
        assert " ".join(picture.title.split()) in captions
        assert picture.table.rows


def test_nothing_is_asked_of_the_network_and_nothing_runs(page: Page) -> None:
    for _, attributes in page.tags:
        for name in ("src", "href", "srcset", "action", "poster", "data", "background"):
            target = attributes.get(name, "#")
            assert target.startswith(("data:image/svg+xml;base64,", "data:application/gzip;base64,", "#"))
    assert not [tag for tag, _ in page.tags if tag in {"script", "link", "iframe", "object", "base", "form"}]
    assert not [a for _, attributes in page.tags for a in attributes if a.startswith("on")]
    policy = next(m["content"] for m in page.of("meta") if m.get("http-equiv") == "Content-Security-Policy")
    assert policy.startswith("default-src 'none';")
    style = "".join(page.texts)
    assert "url(" not in style
    assert "@import" not in style


def test_links_within_the_page_lead_somewhere(page: Page) -> None:
    ids = [a["id"] for _, a in page.tags if "id" in a]
    assert len(set(ids)) == len(ids)
    for link in page.of("a"):
        if link["href"].startswith("#"):
            assert link["href"][1:] in ids


def test_pictures_ask_nothing_of_the_network_either(page: Page) -> None:
    for tag, name in (("img", "src"), ("source", "srcset")):
        for attributes in page.of(tag):
            svg = base64.b64decode(attributes[name].partition("base64,")[2]).decode()
            targets = re.findall(r'(?:xlink:)?href="([^"]*)"', svg)
            assert all(t.startswith(("#", "data:image/png;base64,")) for t in targets)
            assert re.findall(r"url\((?!#)", svg) == []
            assert "<script" not in svg


def test_the_same_input_gives_the_same_bytes() -> None:
    again = desk.report.__wrapped__(*desk.HOURS)
    assert again is not desk.report(*desk.HOURS)
    assert html_of(again) == desk.page(*desk.HOURS)


def test_without_the_readings_it_stays_under_three_megabytes() -> None:
    assert len(desk.page(*desk.HOURS).encode()) < 3_000_000


def test_the_readings_inside_are_the_files_themselves(page: Page) -> None:
    links = [a for a in page.of("a") if "download" in a]
    assert links
    for link in links:
        assert link["download"].startswith("harbour-desk-h")
        assert link["download"].endswith("-readings.csv.gz")
        assert gzip.decompress(base64.b64decode(link["href"].partition("base64,")[2])) == CSV


def test_invented_numbers_are_said_to_be_invented(page: Page) -> None:
    banner = page.text.index("Invented: a simulated panel")
    assert banner < page.text.index("In short")


def test_eight_bit_and_the_limits_of_its_use_are_said(page: Page) -> None:
    assert "8 bit, SDR" in page.text
    assert "It is no warranty evidence and no safety test" in page.text
    assert "photosensitive seizures" in page.text


def test_markup_in_names_and_notes_stays_text() -> None:
    chart = MapChart(100.0, 50.0, "x (%)", 1.0, areas=(Area(EVIL, 1, 1, 90, 40),))
    table = ReportTable(EVIL, (text(EVIL), number("n (1)")), ((EVIL, "1"),), EVIL)
    report = Report(
        panel=EVIL, subtitle=EVIL, facts=((EVIL, EVIL),), verdict=(EVIL,) * 3, banner=EVIL, software=EVIL,
        sections=(Section("s", EVIL, (EVIL,), pictures=(Picture("p", EVIL, EVIL, chart, table, EVIL),),
                          tables=(table,), folded=(table,), points=(EVIL,)),),
    )  # fmt: skip
    page = Page(html_of(report))
    assert page.faults == []
    assert not page.of("script")
    assert page.of("img")[0]["alt"] == EVIL
    assert page.tables[0].caption == EVIL
    svg = base64.b64decode(page.of("img")[0]["src"].partition("base64,")[2]).decode()
    assert "<script" not in svg
    assert "&lt;script&gt;" in svg
    assert "$x_1$" in svg  # a name is no formula


def test_numbers_are_not_torn_from_their_units() -> None:
    report = Report(panel="x", subtitle="", facts=(), verdict=("White is 321 ± 13 cd/m² in a 10 % window.",))
    assert "321\u00a0±\u00a013\u00a0cd/m² in a 10\u00a0% window" in html_of(report)


def test_an_undefined_name_in_the_template_is_an_error_not_a_hole() -> None:
    from jinja2 import UndefinedError

    broken = replace(report_of(desk.inputs(0.0)), sections=("no section",))  # type: ignore[arg-type]
    with pytest.raises(UndefinedError):
        html_of(broken)
