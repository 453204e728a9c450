"""The cautions: on one screen, read once an evening, and before anybody's eyes adapt."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from groundwork.clock import VirtualClock
from panelwear.cautions import CAUTIONS, LIGHT
from panelwear.folder.user_state import state_folder
from panelwear.screen.caution import READ_ALL, caution_page, say_cautions
from panelwear.screen.evening import Evening
from panelwear.screen.fake import FakeScreen
from panelwear.screen.governor import Viewing
from panelwear.screen.page import Words
from panelwear.screen.sheet import Sheet
from panelwear.simulation.scripted import ScriptedOperator

pygame: Any = pytest.importorskip("pygame")
NIGHT = datetime(2026, 2, 3, 20, tzinfo=UTC)


class Desk:
    def __init__(self, folder: Path) -> None:
        self.clock = VirtualClock(NIGHT)
        self.screen = FakeScreen(1280, 720, self.clock)
        self.operator = ScriptedOperator({})
        self.evening = Evening(folder)

    def said(self, hours: float = 0.0, **how: Any) -> str:
        """Let hours pass, and return what was told."""
        self.clock.sleep(hours * 3600)
        self.operator.told.clear()
        say_cautions(self.screen, self.operator, self.clock, self.evening, **how)
        return "\n".join(self.operator.told)


def test_the_cautions_are_said_once_an_evening(tmp_path: Path) -> None:
    desk = Desk(tmp_path / "state")
    assert CAUTIONS[-1].text in desk.said()
    assert "were read at" in desk.said(2.0) and "were read at" in desk.said(9.9)
    assert CAUTIONS[0].text in desk.said(0.2), "twelve hours later it is another evening"


def test_those_of_an_inspection_hold_for_light_alone_and_not_the_other_way(tmp_path: Path) -> None:
    desk = Desk(tmp_path)
    first = desk.said(all_of_them=False)
    assert LIGHT[0].text in first and CAUTIONS[-1].text not in first
    assert CAUTIONS[-1].text in desk.said()
    assert "were read at" in desk.said(all_of_them=False)


def test_what_is_for_this_evening_is_said_though_the_cautions_are_not(tmp_path: Path) -> None:
    desk = Desk(tmp_path)
    desk.said()
    assert "The walk begins dim." in desk.said(more=("The walk begins dim.",))


def test_where_nobody_is_nothing_is_remembered(tmp_path: Path) -> None:
    desk = Desk(tmp_path)
    say_cautions(desk.screen, desk.operator, desk.clock, None)
    assert desk.screen.page_now is not None and CAUTIONS[0].text in desk.operator.told[0]
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("held", [b"", b"yesterday", b"2026-02-03T20:00:00", b"\xff\xfe", b"2026-02-04T20:00:00+00:00"])
def test_a_note_that_says_nothing_is_none(tmp_path: Path, held: bytes) -> None:
    (tmp_path / READ_ALL).write_bytes(held)
    assert Evening(tmp_path).read_at(READ_ALL, NIGHT) is None


def test_a_folder_that_cannot_be_written_only_means_that_it_is_said_again(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    evening = Evening(tmp_path / "file")
    evening.note(READ_ALL, NIGHT)
    assert evening.read_at(READ_ALL, NIGHT + timedelta(hours=1)) is None


def test_state_is_kept_where_the_system_keeps_it() -> None:
    # XDG base directory specification: $XDG_STATE_HOME, an absolute path, else ~/.local/state.
    home = Path("/home/somebody")
    assert state_folder({"XDG_STATE_HOME": "/state"}, "linux", home) == Path("/state/panelwear")
    assert state_folder({"XDG_STATE_HOME": "state"}, "linux", home) == home / ".local/state/panelwear"
    assert state_folder({}, "linux", home) == home / ".local/state/panelwear"


@pytest.mark.parametrize("size", [(1280, 720), (1920, 1080), (3840, 2160)])
def test_all_of_it_stands_on_one_screen(size: tuple[int, int]) -> None:
    page = caution_page(CAUTIONS, ("Dark room, nothing behind the screen. The walk begins dim.",))
    sheet = Sheet(pygame.Surface(size, depth=32), page, Viewing(*size))
    assert page.room == "lit" and sheet.shows_all
    assert isinstance(first := page.parts[0], Words) and first.lead == "Seizures"
