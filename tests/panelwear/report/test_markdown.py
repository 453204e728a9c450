"""The report as Markdown to paste: sentences, one table, nothing taken for markup."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from panelwear.cli import main
from panelwear.report.content import BigNumber, ChangeRow, ChangeTable, Opening, Report, Section, Told
from panelwear.report.markdown import markdown_of, plain
from tests.panelwear.report import desk

EVIL = "<b>x</b> | *y* [z](u) `c`\nnew"


def cells(line: str) -> list[str]:
    """Split a row of a table at the bars that are not escaped."""
    return [cell.strip() for cell in re.split(r"(?<!\\)\|", line.strip().strip("|"))]


def rows(markdown: str) -> list[list[str]]:
    return [cells(line) for line in markdown.splitlines() if line.startswith("|")]


def test_it_holds_the_three_sentences_and_a_table_of_even_rows() -> None:
    report = desk.report(*desk.HOURS)
    markdown = markdown_of(report)
    for sentence in report.verdict:
        assert plain(sentence) in markdown
    found = rows(markdown)
    assert found[0] == ["Figure", "Since the baseline", "Verdict", "Since last time", "Verdict"]
    assert {len(row) for row in found} == {5}
    assert set(found[1]) == {"---", "---:"}
    assert "Invented" in markdown
    assert markdown.index("Invented") < markdown.index(report.verdict[0][:20])


def test_rows_come_by_size_and_bold_is_what_matters() -> None:
    tables = next(s.changes for s in desk.report(*desk.HOURS).sections if s.key == "changes")
    bold = {row.figure for row in tables[0].rows if row.weight == "matters"}
    found = rows(markdown_of(desk.report(*desk.HOURS)))[2:]
    assert {row[0].strip("*") for row in found if row[0].startswith("**")} == bold
    sizes = {
        row.change.caption: abs(row.change.step.value) / row.judged.worth
        for row in desk.inputs(*desk.HOURS).pairs[0].rows
        if not row.under
    }
    # A zone that stands out by a hue alone stands where that hue would.
    shown = [name for row in found if (name := row[0].strip("*")) in sizes and not name.startswith("quay-camera")]
    assert shown == sorted(shown, key=lambda name: -sizes[name])
    assert len(shown) >= 6
    # What only tells more of a zone stands there where it matters, and nowhere else.
    told = {row.figure for row in tables[0].rows if "backplane" in row.figure and row.weight == "matters"}
    assert {row[0].strip("*") for row in found if "backplane" in row[0]} == told


def test_names_and_notes_are_no_markup() -> None:
    row = ChangeRow(EVIL, "", "", "1", "changed", weight="matters", key="k")
    section = Section("changes", "x", changes=(ChangeTable("Since the baseline: x", (row,)),))
    report = Report(EVIL, EVIL, (), (EVIL,), Opening(caveats=(EVIL,)), EVIL, (EVIL,), (section,), (), EVIL)
    markdown = markdown_of(report)
    for bare in ("<b>", "| *y*", "[z](u)", "`c`"):
        assert not re.search(r"(?<!\\)" + re.escape(bare), markdown)
    assert {len(row) for row in rows(markdown)} == {3}
    assert "\nnew" not in markdown


def test_one_checkpoint_gives_its_numbers() -> None:
    found = rows(markdown_of(desk.report(0.0)))
    assert found[0] == ["Figure", "Value", "Said of it"]
    assert [row[0] for row in found[2:]][:2] == ["White luminance", "White point, CCT"]
    assert re.fullmatch(r"[\d.]+ ± [\d.]+ cd/m²", found[2][1])  # the unit once, behind both
    assert found[-1] == ["Most worn channel", "not known yet", "the next checkpoint tells"]


def test_a_number_without_interval_has_no_blank_behind_it() -> None:
    report = Report("p", "s", (), ("v",), Opening((BigNumber("Marks", Told("at 0 h", "3")),)))
    assert ["Marks", "3", "at 0 h"] in rows(markdown_of(report))


@pytest.mark.parametrize("other", [["--out", "x.html"], ["--figures", "x"]])
def test_it_is_one_thing_or_the_other(other: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["report", "somewhere", "--markdown", *other])
    assert "not allowed with" in capsys.readouterr().err


def test_the_command_prints_it_and_writes_no_page(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    made = desk.folder(tmp_path / "harbour-desk", (0.0,))
    assert main(["report", str(made), "--markdown"]) == 0
    assert capsys.readouterr().out.startswith("## harbour-desk\n\nOne checkpoint, the baseline")
    assert list((made / "reports").iterdir()) == []
