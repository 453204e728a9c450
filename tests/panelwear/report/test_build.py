"""From a real panel folder to the file on the disk, and what happens when there is little or something odd in it."""

from __future__ import annotations

import base64
import gzip
import json
from dataclasses import fields, replace
from pathlib import Path

import numpy as np
import pytest

from panelwear.cli import main
from panelwear.figures.load import load_evidence
from panelwear.folder import checkpoint
from panelwear.readings.table import ReadingTable
from panelwear.report.build import report_of, write_report
from panelwear.report.content import LineChart, MapChart, Report
from panelwear.report.inputs import inputs_of
from panelwear.report.page import html_of
from panelwear.report.sections.common import cuts
from panelwear.report.sections.evenness import nice_limit
from sequences.place_names import place_name
from tests.panelwear.compare.panels import with_facts
from tests.panelwear.report import desk
from tests.panelwear.report.page_reader import Page

EVIL = "<script>alert(1)</script> & “quoted”"


@pytest.fixture(scope="module")
def panel_dir(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return desk.folder(tmp_path_factory.mktemp("report") / "harbour-desk", (0.0, 4400.0), note=EVIL)


@pytest.fixture(scope="module")
def page(panel_dir: Path) -> Page:
    return Page(write_report(panel_dir).read_text(encoding="utf-8"))


def report(*tables: tuple[float, ReadingTable]) -> Report:
    return report_of(inputs_of(desk.panel(), [desk.subject(h, t) for h, t in tables]))


def titles(found: Report) -> set[str]:
    return {section.title for section in found.sections}


def test_by_itself_it_goes_into_reports_under_panel_and_date(page: Page, panel_dir: Path) -> None:
    assert page.faults == []
    assert [p.name for p in (panel_dir / "reports").iterdir()] == ["harbour-desk-2027-01-07.html"]


def test_the_command_writes_the_same_bytes_elsewhere(
    page: Page, panel_dir: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    elsewhere = tmp_path / "new" / "r.html"
    assert main(["report", str(panel_dir), "--out", str(elsewhere)]) == 0
    assert str(elsewhere) in capsys.readouterr().out
    assert page.tables
    assert elsewhere.read_bytes() == (panel_dir / "reports" / "harbour-desk-2027-01-07.html").read_bytes()


def test_a_folder_as_the_target_is_a_sentence(
    panel_dir: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["report", str(panel_dir), "--out", str(tmp_path)]) == 2
    assert "is a folder; name a file with --out" in capsys.readouterr().err


def test_a_panel_without_checkpoints_is_a_sentence(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    empty = desk.folder(tmp_path / "harbour-desk", ())
    assert main(["report", str(empty)]) == 2
    assert "has no readings, no marks and no maps of photographs yet" in capsys.readouterr().err
    assert list((empty / "reports").iterdir()) == []


def test_readings_of_every_checkpoint_are_inside_as_they_are_on_the_disk(panel_dir: Path, page: Page) -> None:
    links = [a for a in page.of("a") if "download" in a]
    files = sorted((panel_dir / "checkpoints").glob("*/readings.csv"))
    assert len(links) == len(files) == 2
    for link, file in zip(links, files, strict=True):
        assert file.parent.name in link["download"]
        assert gzip.decompress(base64.b64decode(link["href"].partition("base64,")[2])) == file.read_bytes()


def test_a_note_with_markup_stays_text(page: Page) -> None:
    assert page.faults == []
    assert not page.of("script")
    assert EVIL in page.table("Marks made at").rows[0]
    assert EVIL in page.table("The same at every checkpoint").row("Noted")


def test_marks_and_matches_stand_beside_the_instrument(page: Page) -> None:
    mark = page.table("Marks made at 4400 h").rows[0]
    assert mark[:3] == ["1", "band", "plain"]
    assert mark[5] == "vessel-list"
    match = page.table("Matches").rows[-1]
    assert match[4].startswith("\u22123.60 ± 0.60 %")
    assert "obvious, 4.4 at 600 mm" in match[6]
    check = page.table("Eye and instrument").row("vessel-list")
    assert check[2].startswith("\u22123.6")
    assert check[5] in {"agree", "do not agree"}


@pytest.mark.slow
def test_a_name_with_a_slash_cannot_lead_out_of_the_folder(tmp_path: Path) -> None:
    odd = desk.folder(tmp_path / "odd", (0.0,), name="../desk <b>")
    written = write_report(odd)
    assert written.parent == odd / "reports"
    assert "<b>" not in written.read_text(encoding="utf-8")


@pytest.mark.slow
def test_a_name_with_blanks_makes_a_file_name_without(tmp_path: Path) -> None:
    written = write_report(desk.folder(tmp_path / "desk", (0.0,), name="desk left, 2nd floor"))
    assert written.name == "desk-left-2nd-floor-2026-01-05.html"
    assert "desk left, 2nd floor" in written.read_text(encoding="utf-8")


def test_one_checkpoint_is_told_in_the_singular() -> None:
    found = report((0.0, desk.readings(0.0)))
    assert found.subtitle.startswith("One checkpoint, the baseline")
    assert dict(found.facts)["Readings"].endswith("at 1 checkpoint")


def test_one_checkpoint_says_what_it_can() -> None:
    found = report((0.0, desk.readings(0.0)))
    assert {"Luminance and white point", "Zones", "Uniformity", "Ramp and loading"} <= titles(found)
    assert "What changed" not in titles(found)
    assert len(found.verdict) == 3
    assert "Nothing can be said of change yet" in found.verdict[2]
    assert "what it had from the factory included" in found.verdict[1]
    zone = found.opening.numbers[2]
    assert zone.title == "Zone that stands out most: quay-camera"
    # Number, sentence and outline tell one value of one quantity.
    assert f"{zone.main.value.removesuffix(' %')} {zone.main.interval}" in found.verdict[1]
    assert found.opening.outline is not None
    (row,) = [r for r in found.opening.outline.table.rows if r[0] == "quay-camera"]
    assert row[3] == f"{zone.main.value.removesuffix(' %')} {zone.main.interval}"
    assert found.opening.numbers[3].main.value == "not known yet"
    assert found.opening.strip is None


def test_three_sentences_come_first_with_several() -> None:
    found = report((0.0, desk.readings(0.0)), (4400.0, desk.readings(4400.0)))
    assert len(found.verdict) == 3
    assert found.verdict[0].startswith("Since the baseline (0 h to 4400 h of use) vessel-list (on the left) became")
    assert "obvious" in found.verdict[0]
    assert found.verdict[2].startswith("Blue wears most")


@pytest.mark.slow
def test_a_luminance_meter_gets_a_report_without_colour() -> None:
    def only_luminance(table: ReadingTable) -> ReadingTable:
        nothing = np.full(len(table), np.nan)
        return replace(table, X=nothing, Z=nothing)

    found = report(*((h, only_luminance(desk.readings(h))) for h in (0.0, 4400.0)))
    assert "Luminance and white point" in titles(found)
    keys = {p.key for section in found.sections for p in section.pictures}
    assert "plane" not in keys
    assert "retention" in keys
    assert Page(html_of(found)).faults == []


def test_a_spot_check_gets_a_report_without_zones_or_grid() -> None:
    table = desk.readings(0.0)
    few = table.where(np.isin(table.purpose, ["primary", "black", "reference"]))
    found = report((0.0, few))
    assert not {"Uniformity", "Zones"} & titles(found)
    assert found.opening.outline is None
    assert [n.main.value for n in found.opening.numbers][2:] == ["not read", "not known yet"]
    assert Page(html_of(found)).faults == []


def test_what_the_eye_alone_saw_gets_a_report_too() -> None:
    nothing = desk.readings(0.0).where(np.zeros(len(desk.readings(0.0)), dtype=bool))
    seen = with_facts(desk.subject(0.0, nothing), marks=(desk.a_mark("corner"),), matches=(desk.a_match(""),))
    found = report_of(inputs_of(desk.panel(), [seen]))
    assert "By eye" in titles(found)
    assert "Nothing was read with a probe yet" in found.verdict[0]
    assert [p.key for p in found.pictures] == ["marks"]
    assert [(n.title, n.main.value) for n in found.opening.numbers] == [
        ("Marks by eye", "1"), ("Largest contrast by eye: vessel-list", "\u22123.60 %"),
    ]  # fmt: skip
    page = Page(html_of(found))
    assert page.faults == []
    assert page.table("Marks made at").rows


@pytest.mark.slow
def test_a_panel_without_zones_gets_a_report() -> None:
    panel = replace(desk.panel(), zones=())
    found = report_of(inputs_of(panel, [desk.subject(h) for h in (0.0, 4400.0)]))
    assert "Zones" not in titles(found)
    assert found.opening.outline is not None
    assert found.opening.outline.key == "outline"  # the grid stands there instead, and not a second time below
    assert "evenness-change" not in {p.key for p in found.pictures}
    assert Page(html_of(found)).faults == []


def test_where_no_zone_is_forecast_one_sentence_says_why() -> None:
    (zones,) = [one for one in desk.report(0.0, 2000.0, 4400.0).sections if one.key == "zones"]
    (why,) = [one for one in zones.points if one.startswith("No forecast of becoming visible: ")]
    assert "vessel-list" in why and "clock-badge" in why and "(visible already; 'panelwear forecast' says when" in why
    (early,) = [one for one in desk.report(0.0, 100.0).sections if one.key == "zones"]
    (why,) = [one for one in early.points if one.startswith("No forecast of becoming visible: ")]
    assert "4 checkpoints are needed, the baseline among them; there are 2" in why


def test_a_zone_without_a_baseline_is_no_change_on_the_outline() -> None:
    first = desk.readings(0.0)
    without = first.where(~np.char.startswith(first.pair, "clock-badge"))
    found = report((0.0, without), (4400.0, desk.readings(4400.0)))
    outline = found.opening.outline
    assert outline is not None
    assert isinstance(outline.chart, MapChart)
    values = {area.name: area.value for area in outline.chart.areas}
    assert np.isfinite(values["vessel-list"])
    assert np.isnan(values["clock-badge"])
    (row,) = [r for r in outline.table.rows if r[0] == "clock-badge"]
    assert row[3].startswith("not read at the baseline; stands at +")


@pytest.mark.slow
def test_another_setting_is_said_with_its_cost() -> None:
    subjects = [desk.subject(h) for h in (0.0, 4400.0)]
    how = subjects[1].circumstances
    subjects[1] = with_facts(subjects[1], circumstances=replace(how, answers={**how.answers, "brightness": "60"}))
    page = Page(html_of(report_of(inputs_of(desk.panel(), subjects))))
    row = next(r for r in page.table("Differences").rows if "rightness" in r[1])
    assert "'80'" in row[1]
    assert "'60'" in row[1]
    assert "two settings, not two states" in row[2]
    heads = page.table("What was not the same").heads
    assert "Brightness setting" in heads


def test_notes_of_a_real_panel_are_no_banner() -> None:
    panel = replace(desk.panel(), notes="panel of desk 3, moved in March")
    found = report_of(inputs_of(panel, [desk.subject(0.0)]))
    assert found.banner == ""
    assert ("Notes", "panel of desk 3, moved in March") in found.facts


def test_all_pictures_of_a_full_inspection_are_there() -> None:
    found = desk.report(*desk.HOURS)
    assert [p.key for p in found.pictures] == [
        "zones", "strip", "retention", "balance", "plane", "zone-hours", "evenness", "evenness-change", "ramp",
        "loading",
    ]  # fmt: skip
    over_hours = next(p for section in found.sections for p in section.pictures if p.key == "retention")
    assert over_hours.table.columns[0].name == "Hours of use (h)"
    assert [row[0] for row in over_hours.table.rows] == ["0", "2000", "4400"]


def test_of_several_grids_the_one_nearest_to_mid_grey_is_drawn() -> None:
    table = desk.readings(0.0)
    grid = table.where(table.purpose == "grid")
    dark = replace(
        grid, patch=np.char.replace(grid.patch, "/c128/", "/c64/"), red=grid.red / 2, green=grid.green / 2,
        blue=grid.blue / 2, X=grid.X / 4, Y=grid.Y / 4, Z=grid.Z / 4,
    )  # fmt: skip
    columns = {f.name: np.concatenate([getattr(dark, f.name), getattr(table, f.name)]) for f in fields(table)}
    found = report((0.0, ReadingTable(**columns)))
    drawn = next(p for section in found.sections for p in section.pictures if p.key == "evenness")
    assert drawn.note.startswith("Grey at drive level 128")
    assert isinstance(drawn.chart, MapChart)
    assert [row[0] for row in drawn.table.rows] == [place_name(spot.name) for spot in drawn.chart.spots]


def test_colours_of_a_map_reach_no_farther_than_they_must() -> None:
    assert [nice_limit(v) for v in (0.2, 1.0, 1.2, 3.49, 6.07, 40.0, 101.0)] == [1, 1, 2, 4, 8, 40, 200]


def test_every_axis_has_its_unit() -> None:
    charts = [p.chart for section in desk.report(*desk.HOURS).sections for p in section.pictures]
    lines = [c for c in charts if isinstance(c, LineChart)]
    assert len(lines) >= 5
    for axis in (axis for chart in lines for axis in (chart.x, chart.y)):
        assert axis.label.endswith((")", "%"))
    assert all(c.unit.endswith("(%)") for c in charts if isinstance(c, MapChart))


@pytest.mark.slow
def test_amendments_open_checkpoints_and_changed_files_are_said(tmp_path: Path) -> None:
    made = desk.folder(tmp_path / "harbour-desk", (0.0, 4400.0))
    first, last = checkpoint.all_of(made)
    first.amend("the room lamp was on <b>", desk.BEGAN)
    assert remarks_of(made) == (f"{first.name}: amended on 2026-01-05: the room lamp was on <b>.",)
    (last.directory / "sequence.toml").write_bytes(b"x = 2\n")
    checkpoint.open_or_create(made, "harbour-desk", 4500.0, None, desk.BEGAN)
    page = Page(write_report(made).read_text(encoding="utf-8"))
    assert page.faults == []
    assert "the room lamp was on <b>." in page.text
    assert f"{last.name}/sequence.toml: was changed after the checkpoint was closed." in page.text
    assert "2026-01-05-h4500: is still open, so readings may be added to it." in page.text


@pytest.mark.slow
def test_two_checkpoints_at_the_same_hours_stay_two() -> None:
    subjects = [desk.subject(h, desk.readings(h)) for h in (0.0, 4400.0)]
    again = desk.subject(4400.0, desk.readings(4400.0, seed=9))
    how = replace(again.circumstances, name="2027-01-08-h4400", date="2027-01-08")
    found = report_of(inputs_of(desk.panel(), [*subjects, with_facts(again, circumstances=how)]))
    pictures = {p.key: p for section in found.sections for p in section.pictures}
    assert [row[0] for row in pictures["retention"].table.rows] == ["0", "4400", "4400"]
    assert len({row[1] for row in pictures["retention"].table.rows}) == 3
    assert pictures["ramp"].title.endswith("change from 0 h, 2026-01-05 to 4400 h, 2027-01-08")


def test_notes_on_all_figures_of_a_checkpoint_are_said() -> None:
    table = desk.readings(0.0)
    white = np.char.startswith(table.patch, "primary/centre/grey/c255")
    more = np.where(white, 1.08, 1.0)
    odd = replace(table, X=table.X * more, Y=table.Y * more, Z=table.Z * more)
    found = report_of(inputs_of(desk.panel(), [desk.subject(0.0, odd, np.eye(3))]))
    figures = next(s for s in found.sections if s.key == "figures")
    assert any(
        p.startswith("0 h: White is 1.080 of red + green + blue") and "do not just add" in p for p in figures.points
    )
    plain = report_of(inputs_of(desk.panel(), [desk.subject(0.0)]))
    assert next(s for s in plain.sections if s.key == "figures").points == ()


def test_a_matrix_that_was_changed_since_is_remarked(tmp_path: Path) -> None:
    made = desk.folder(tmp_path / "harbour-desk", (0.0,))
    (found,) = checkpoint.all_of(made)
    assert remarks_of(made) == ()
    record = json.loads(found.record_path.read_text(encoding="utf-8"))
    record["sessions"][0]["digests"] = {"correction": "a" * 64}
    found.record_path.write_text(json.dumps(record), encoding="utf-8")
    (said,) = [s for s in remarks_of(made) if "correction matrix" in s]
    assert said.startswith(f"{found.name}: Session 1 was read with correction matrix aaaaaaaa…")
    assert said.endswith("these figures use the present one.")


def remarks_of(made: Path) -> tuple[str, ...]:
    return tuple(sentence for one in load_evidence(made) for sentence in one.record.remarks())


def cut_by(*cycles: int | None, last: dict[str, str], **facts: str) -> tuple[tuple[float, str], ...]:
    subjects = []
    for hours, count in zip((0.0, 2000.0, 4400.0), cycles, strict=True):
        one = desk.subject(hours)
        answers = {k: v for k, v in one.circumstances.answers.items() if k != "since_cycle_h"}
        more = {"answers": {**answers, **last}, **facts} if hours == 4400.0 else {"answers": answers}
        subjects.append(with_facts(one, circumstances=replace(one.circumstances, cycles=count, **more)))
    return cuts(inputs_of(desk.panel(), subjects))


@pytest.mark.slow
def test_charts_are_cut_where_the_trend_is() -> None:
    assert cut_by(0, 0, 1, last={}) == ((3200.0, "compensation cycle"),)
    # Nobody counted, but somebody knew when the last one ran.
    assert cut_by(None, None, None, last={"since_cycle_h": "300"}) == ((4100.0, "compensation cycle"),)
    assert cut_by(None, None, None, last={"since_cycle_h": "9000"}) == ()
    assert cut_by(None, None, None, last={"brightness": "60"}) == ((3200.0, "another setting"),)
    assert cut_by(None, None, None, last={}, probe="Q") == ((3200.0, "another probe or calibration"),)


def test_numbers_without_unit_and_changes_are_written_out_properly() -> None:
    pictures = {p.key: p for section in desk.report(0.0, 4400.0).sections for p in section.pictures}
    assert " at 255 of 255." in pictures["ramp"].alt
    assert " ;" not in "".join(p.alt for p in pictures.values())
    (row,) = [r for r in pictures["zone-hours"].table.rows if r[0] == "4400"]
    assert any(cell.startswith("+") for cell in row[1:])
    assert not any(cell.startswith("+") for r in pictures["retention"].table.rows for cell in r)


def test_one_mark_is_told_in_the_singular() -> None:
    nothing = desk.readings(0.0).where(np.zeros(len(desk.readings(0.0)), dtype=bool))
    found = report_of(inputs_of(desk.panel(), [with_facts(desk.subject(0.0, nothing), marks=(desk.a_mark(""),))]))
    assert found.verdict[0] == "Nothing was read with a probe yet; the eye left 1 mark."
