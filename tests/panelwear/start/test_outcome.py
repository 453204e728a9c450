"""What a command said, as pages: ended well or not, a comparison as rows, a report to open, a text that scrolls."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from panelwear.screen.contract import ScreenEvent
from panelwear.start.menu import First, PanelPage
from panelwear.start.outcome import kept_lines, not_browsed, opened, outcome
from panelwear.start.record import blocks_of_parts, said_in
from panelwear.start.state import Browse, Run, State, after, page_of
from panelwear.start.told import Block, Told, Working, blocks_of
from panelwear.telling.parts import Exactly, Prose, grid
from panelwear.telling.record import as_data
from tests.panelwear.start.hand import DESK, WORLD, click, filled, key, words

PANEL = State(WORLD, (First(), PanelPage(DESK.folder)))
SPOT = Run(("spot", DESK.folder, "--hours=5"), "Spot: harbour-desk", on_screen=True, folder=DESK.folder)
COMPARE = Run(("compare", DESK.folder, "--json"), "Comparison: harbour-desk", on_screen=False, folder=DESK.folder)
COLUMNS = ("figure", "change ± (95 %)", "verdict", "before", "now")
SAID = (
    Prose("Since the baseline: 2026-01-05-h0 (0 h) to 2027-01-07-h4400 (4400 h)"),
    grid(
        COLUMNS,
        [
            ("white, luminance (c255, w1)", "−3.2 ± 1.4 %", "changed", "409 ± 17 cd/m²", "396 ± 16 cd/m²"),
            ("  white point, Δu'v'", "0.00185 ± 0.00071", "undecided (up to 1)", "—", "—"),
        ],
    ),
    Exactly(("as it stands",)),
    Prose("Blue wears most: against the other two it changed."),
)


def test_a_session_that_ended_is_told_with_its_last_lines_and_its_form_goes() -> None:
    form = click(PANEL, "spot")
    state = outcome(form, SPOT, ["getting ready", "[===   ]  12%  step 1 of 4", "", "white  409 ± 17 cd/m²"], 0)
    said = words(page_of(state))
    assert page_of(state).title == "Spot: harbour-desk, done"
    assert "This is how it ended: done." in said
    assert "409 ± 17" in said and "step 1 of 4" not in said
    assert isinstance(key(state, "escape").view, PanelPage)


@pytest.mark.parametrize(
    ("code", "said"),
    [
        (1, "stopped; everything up to there is kept"),
        (2, "makes no sense"),
        (3, "the screen, or a stored file"),
        (4, "stopped by the probe"),
        (5, "the disk or the folder"),
        (6, "a fault of the program itself"),
        (-9, "ended by the system"),
    ],
)
def test_each_way_to_end_is_said_in_words(code: int, said: str) -> None:
    assert said in words(page_of(outcome(PANEL, SPOT, ["panelwear spot: a sentence"], code)))


def test_a_form_whose_answers_did_not_do_stays_as_it_was() -> None:
    form = filled(click(PANEL, "spot"), hours="5")
    state = outcome(form, SPOT, ["panelwear spot: --hours 5: 400 h more cannot have passed"], 2)
    assert "cannot have passed" in words(page_of(state))
    assert key(state, "escape").view == form.view


def test_steps_that_were_shown_lead_back_to_the_form() -> None:
    form = filled(click(PANEL, "inspect"), hours="5")
    dry = Run(("inspect", DESK.folder, "--dry-run"), "Inspection, step by step", on_screen=False)
    state = outcome(form.over(Working("Inspection")), dry, [f"{n}  a step" for n in range(80)], 0)
    assert "1 to 16 of 80" in words(page_of(state))
    assert key(state, "escape").view == form.view


def test_after_any_command_the_panels_are_looked_up_anew_and_what_is_next_is_chosen() -> None:
    state = key(outcome(PANEL.instead(PanelPage(DESK.folder, chosen="spot")), SPOT, [], 0), "escape")
    assert not state.world.ready
    assert page_of(replace(state, world=WORLD)).chosen == "close"


def test_a_new_panel_opens_on_its_zones() -> None:
    run = Run(("new", DESK.folder), "New panel", on_screen=False, folder=DESK.folder)
    state = outcome(click(State(WORLD, (First(),)), "new:").over(Working("New panel")), run, ["made it"], 0)
    assert state.views == (First(chosen=DESK.folder), PanelPage(DESK.folder, chosen="zones"))


def test_a_report_is_opened_in_the_browser_or_its_path_is_said() -> None:
    run = Run(("report", DESK.folder), "Report: harbour-desk", on_screen=False, folder=DESK.folder)
    line = "/p/desk/reports/a: b.html: 1.2 MB, opens in any browser, needs no network"
    state = outcome(PANEL.over(Working("Report")), run, [line], 0)
    assert page_of(state).title == "Report: harbour-desk, done"
    assert key(state, "return").wish == Browse("/p/desk/reports/a: b.html")
    assert "/p/desk/reports/a: b.html" in words(page_of(not_browsed(state, "/p/desk/reports/a: b.html")))


def test_a_report_that_was_not_written_offers_no_browser() -> None:
    run = Run(("report", DESK.folder), "Report: harbour-desk", on_screen=False, folder=DESK.folder)
    state = outcome(PANEL.over(Working("Report")), run, ["panelwear report: no checkpoint"], 2)
    assert [item.id for item in page_of(state).items] == ["back"]


def test_a_comparisons_record_becomes_rows_with_verdicts() -> None:
    said = said_in(json.dumps({"panel": "harbour-desk", "said": as_data(SAID)}))
    assert said == SAID
    page = page_of(outcome(PANEL.over(Working("Comparison")), COMPARE, [], 0, said))
    assert page.title == "Comparison: harbour-desk, done"
    rows = {item.label: item for item in page.items}
    white = rows["white, luminance (c255, w1)"]
    assert (white.value, white.mark) == ("−3.2 ± 1.4 %", "changed")
    assert white.note == "before 409 ± 17 cd/m², now 396 ± 16 cd/m²"
    assert rows["white point, Δu'v'"].note == ""
    assert "as it stands\nBlue wears most" in words(page)


@pytest.mark.parametrize(
    "record", ["", "panelwear compare: a sentence", "[]", "{}", '{"said": 3}', '{"said": [{"x": 1}]}']
)
def test_without_a_record_what_was_said_is_told(record: str) -> None:
    assert said_in(record) is None
    ended = outcome(PANEL, COMPARE, ["panelwear compare: no checkpoint holds readings"], 2, said_in(record))
    assert "no checkpoint holds readings" in words(page_of(ended))
    assert "makes no sense" in words(page_of(ended))


def test_a_table_without_a_record_is_told_row_by_row() -> None:
    found = blocks_of(["  name    hours  state  now  more", "desk    1460 h", "one  two  three"])
    assert [block.cells for block in found] == [
        ("name    hours  state  now  more",), ("desk", "1460 h"), ("one", "two", "three")
    ]  # fmt: skip


def test_a_long_text_scrolls_to_its_end_and_no_farther() -> None:
    state = PANEL.over(Told("a text", tuple(Block((f"line {n}",)) for n in range(40))))
    assert "1 to 16 of 40" in words(page_of(state))
    assert "17 to 32 of 40" in words(page_of(key(state, "page-down")))
    end = key(state, "end")
    assert "25 to 40 of 40" in words(page_of(end))
    assert key(end, "down", "page-down") == end
    assert key(end, "home") == state
    wheel = after(state, ScreenEvent("wheel", 0.0, button=-1), lambda x, y: "")
    assert "2 to 17 of 40" in words(page_of(wheel))


def test_a_line_longer_than_a_page_is_still_passed() -> None:
    state = PANEL.over(Told("a text", (Block(("word " * 600,)), Block(("last",)))))
    assert "last" in words(page_of(key(state, "down")))


def test_a_row_of_a_table_cannot_be_taken() -> None:
    state = PANEL.over(Told("Comparison", blocks_of_parts(SAID)))
    assert click(state, "row-1").views[:2] == PANEL.views
    assert click(state, "row-1").wish is None


def test_what_only_tells_how_far_it_was_is_left_out() -> None:
    lines = ["", "PAGE x", "ROWS {}", "SHOWN field", "LISTENS", "[#####   ]  20%   500 h", "[=  ]   1%  step", "kept"]
    assert kept_lines(lines) == ["kept"]


def test_a_folder_that_was_opened_shows_its_page() -> None:
    assert opened(PANEL.over(Working("x")), DESK.folder).views == (First(chosen=DESK.folder), PanelPage(DESK.folder))
