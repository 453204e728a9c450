"""The loop around the editor: what is drawn reaches panel.toml, and nothing is lost on the way."""

from __future__ import annotations

import os
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from groundwork.clock import VirtualClock
from panelwear.errors import Stopped
from panelwear.folder.zone_file import read_zone_file
from panelwear.screen.desk import Desk
from panelwear.screen.fake import FakeScreen
from panelwear.screen.page import Words
from panelwear.zoning.costs import Read
from panelwear.zoning.drawing import Drawing
from panelwear.zoning.editor import begun
from panelwear.zoning.fits import Probe
from panelwear.zoning.plan import plan_of
from panelwear.zoning.questions import page_of
from panelwear.zoning.view import Surroundings
from patterns.frame import Rect
from tests.panelwear.zoning.hand import BADGE, PANEL, ZONES, panel_folder

AROUND = Surroundings("harbour-desk", Probe(10.0, (0.466, 0.466)))


class Table:
    """A panel folder with a screen before it, and a hand that acts at given moments."""

    def __init__(self, folder: Path, read: Read | None = None) -> None:
        self.folder = panel_folder(folder, *ZONES)
        self.clock = VirtualClock(datetime(2026, 2, 3, tzinfo=UTC))
        self.screen = FakeScreen(*PANEL, self.clock)
        self.drawing = Drawing(self.screen, self.clock, read_zone_file(folder), AROUND, read or Read({}))
        self.at_s = 1.0

    @property
    def toml(self) -> Path:
        return self.folder / "panel.toml"

    def press(self, *keys: str) -> Table:
        """Press keys, each some moments after the last."""
        for key in keys:
            self.screen.press(key, after_s=self.at_s)
            self.at_s += 0.1
        return self

    def run(self) -> Table:
        self.drawing.run()
        return self

    @property
    def titles(self) -> list[str]:
        return [page.title for page in self.screen.note.pages]

    @property
    def left_edge(self) -> int:
        return next(zone for zone in read_zone_file(self.folder).zones if zone.name == "badge").rect.x


def test_what_was_drawn_stands_in_the_file_and_comments_stay(tmp_path: Path) -> None:
    table = Table(tmp_path)
    before = table.toml.read_text()
    table.press("tab", "right", "s", "escape").run()
    assert table.left_edge == 1001
    assert table.toml.read_text() == before.replace("[1000, 40,", "[1001, 40,").replace("[1050, 90]", "[1051, 90]")
    assert table.drawing.told == ["Saved: panel.toml has 3 zones."]


def test_what_is_not_saved_is_said_in_a_sentence() -> None:
    one, other, *more = plan_of(ZONES).zones
    begun_ = begun(plan_of(ZONES), PANEL)
    moved = replace(one, rect=replace(one.rect, x=one.rect.x + 1))
    plan = replace(begun_.plan, zones=(moved, replace(other, id=99, name="clock"), *more))
    words = page_of(replace(begun_, plan=plan, asking="leave")).parts[0]
    assert isinstance(words, Words)
    assert words.text == (
        f"You have changed {one.name}, added clock and taken away {other.name}. Nothing of this is saved yet."
    )


def test_escape_asks_and_its_three_answers_do_what_they_say(tmp_path: Path) -> None:
    go_on = Table(tmp_path / "a").press("tab", "right", "escape", "escape", "right", "escape", "return").run()
    assert go_on.titles == ["Save the zones?", "Save the zones?"]
    assert go_on.left_edge == 1002
    discard = Table(tmp_path / "b").press("tab", "right", "escape", "down", "return").run()
    assert (discard.left_edge, discard.drawing.told) == (1000, [])


def test_a_row_of_the_question_can_be_clicked(tmp_path: Path) -> None:
    table = Table(tmp_path).press("tab", "right", "escape")
    table.screen.happen("pointer-down", after_s=table.at_s, x=5, y=15, button=1)  # the second row of the fake's page
    assert table.run().left_edge == 1000


def test_saving_what_was_read_is_asked_about_first(tmp_path: Path) -> None:
    read = Read({"badge": ("first",)})
    kept = Table(tmp_path / "a", read).press("tab", "right", "s", "return", "escape", "down", "return").run()
    assert kept.titles[0] == "These zones have been read before"
    assert kept.left_edge == 1000
    words = [part.text for part in kept.screen.note.pages[0].parts if hasattr(part, "text")]
    assert words[0].startswith("badge was read at 1 checkpoint at its old place")
    saved = Table(tmp_path / "b", read).press("tab", "right", "s", "down", "return", "escape").run()
    assert saved.left_edge == 1001
    on_the_way_out = Table(tmp_path / "c", read).press("tab", "right", "escape", "return", "down", "return").run()
    assert on_the_way_out.left_edge == 1001


def test_other_changes_to_the_file_meanwhile_are_kept(tmp_path: Path) -> None:
    table = Table(tmp_path)
    changed = table.toml.read_text().replace("distance_mm = 600", "distance_mm = 700  # moved back")
    table.toml.write_text(changed)
    table.press("tab", "right", "s", "escape").run()
    assert table.left_edge == 1001
    assert "700  # moved back" in table.toml.read_text()
    assert "changed meanwhile; that is kept" in table.drawing.told[0]


@pytest.mark.parametrize("beside", [True, False])
def test_other_zones_in_the_file_meanwhile_are_asked_about_and_nothing_is_lost(tmp_path: Path, beside: bool) -> None:
    table = Table(tmp_path)
    theirs = table.toml.read_text().replace('name = "list"', 'name = "bar"')
    table.toml.write_text(theirs)
    table.press("tab", "right", "s", *([] if beside else ["down"]), "return", "escape").run()
    assert {*table.titles} == {"panel.toml has other zones now"}
    ours = read_zone_file(tmp_path)
    if beside:
        assert table.toml.read_text() == theirs
        mine = tmp_path / "panel.zones-1.toml"
        assert "[1001, 40, 200, 100]" in mine.read_text() and 'name = "list"' in mine.read_text()
    else:
        assert [zone.name for zone in ours.zones] == ["chart", "badge", "list"]
        assert table.left_edge == 1001
        assert (tmp_path / "panel.before-1.toml").read_text() == theirs


def test_a_file_that_cannot_be_read_any_more_is_said_and_drawing_goes_on(tmp_path: Path) -> None:
    table = Table(tmp_path)
    whole = table.toml.read_text()
    table.toml.write_text("name = ")
    table.press("tab", "right", "s", "escape", "down", "return").run()
    said = [
        words for desk in table.screen.note.desks for words, _ in desk.card.words if words.startswith("Not saved: ")
    ]
    assert said and "panel.toml" in said[0]
    assert table.toml.read_text() == "name = " != whole


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_folder_that_cannot_be_written_is_said(tmp_path: Path) -> None:
    table = Table(tmp_path)
    tmp_path.chmod(0o500)
    table.press("tab", "right", "s", "escape", "down", "return").run()
    tmp_path.chmod(0o700)
    assert table.left_edge == 1000


def test_saving_twice_and_undoing_past_a_save_finds_its_blocks(tmp_path: Path) -> None:
    table = Table(tmp_path).press("tab", "delete", "s", "u", "s", "page-up", "s", "escape").run()
    zones = read_zone_file(tmp_path).zones
    # What was taken away and came back is a new block: comments in it are gone, its place and its name are not.
    assert [zone.name for zone in zones] == ["chart", "list", "badge"]
    assert zones[2] == replace(BADGE, rect=Rect(1000, 40, 200, 100))
    assert table.drawing.told[0] == "Saved: panel.toml has 2 zones."


def test_nothing_is_drawn_again_while_nothing_changes(tmp_path: Path) -> None:
    table = Table(tmp_path)
    table.screen.happen("pointer-move", after_s=0.5, x=600, y=600)
    table.press("x", "escape").run()
    assert len(table.screen.note.desks) == 1


class Fading(FakeScreen):
    """Stops in the middle of the third desk's fade, as the real screen does when Escape comes then."""

    def desk(self, desk: Desk) -> None:
        super().desk(desk)
        if len(self.note.desks) == 3:
            self.darken()
            raise Stopped("stopped at the screen")


def test_escape_in_the_middle_of_a_fade_asks_too(tmp_path: Path) -> None:
    table = Table(tmp_path)
    table.screen = Fading(*PANEL, table.clock)
    table.drawing = Drawing(table.screen, table.clock, read_zone_file(tmp_path), AROUND, Read({}))
    table.press("tab", "right", "return").run()
    assert table.titles == ["Save the zones?"]
    assert table.left_edge == 1001
