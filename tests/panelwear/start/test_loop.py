"""The start screen at work on a screen that shows nothing: its children are the real program, its clock jumps."""

from __future__ import annotations

import os
import subprocess
import sys
import webbrowser
from datetime import UTC, datetime
from pathlib import Path

import pytest

from groundwork.clock import VirtualClock
from panelwear.errors import Stopped
from panelwear.screen.fake import FakeScreen
from panelwear.screen.page import Page
from panelwear.start import known
from panelwear.start.facts import World
from panelwear.start.loop import StartScreen
from panelwear.start.menu import First
from panelwear.start.state import Browse, State
from panelwear.upkeep.create import PanelSpec, new_panel
from tests.panelwear.start.hand import MONITOR


class Played(FakeScreen):
    """A screen that answers pages: each step of ``script`` waits for a page on which it can be done."""

    def __init__(self, clock: VirtualClock, script: list[tuple[str, str]]) -> None:
        super().__init__(640, 360, clock)
        self.script = script
        self.titles: list[str] = []
        self.fails_on = ""

    def page(self, page: Page) -> None:
        self.titles.append(page.title)
        if page.title == self.fails_on:
            raise Stopped("while it came on")
        super().page(page)
        if not self.script or page.title != self.script[0][0]:
            return
        what, times = self.script[0][1], 1
        if what.endswith(" twice"):
            what, times = what.removesuffix(" twice"), 2
        if what.startswith("type "):
            self.type_text(what.removeprefix("type "))
        elif what.startswith("key "):
            self.press(what.removeprefix("key "))
        else:
            row = page.item(what)
            if row is None or not row.enabled:
                return
            at = [item.id for item in page.items].index(what)
            for _ in range(times):
                self.happen("pointer-down", x=1, y=at * 10 + 5, button=1)
        self.script.pop(0)


class Evening:
    def __init__(self, script: list[tuple[str, str]]) -> None:
        self.clock = VirtualClock(datetime(2026, 2, 3, 20, tzinfo=UTC))
        self.script = script
        self.screens: list[Played] = []
        self.fails_on = ""
        """A page during whose fade Escape is pressed."""

    def open_up(self) -> tuple[Played, tuple[object, ...]]:
        self.screens.append(Played(self.clock, self.script))
        self.screens[-1].fails_on = self.fails_on
        return self.screens[-1], (MONITOR,)

    def run(self) -> int:
        return StartScreen(self.open_up, self.clock).run()  # type: ignore[arg-type]

    @property
    def titles(self) -> list[str]:
        return [title for screen in self.screens for title in screen.titles]


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setenv("HOME", str(tmp_path))
    for name in ("DISPLAY", "WAYLAND_DISPLAY", "SDL_VIDEODRIVER"):
        monkeypatch.delenv(name, raising=False)
    folder = new_panel(tmp_path / "desk", PanelSpec("desk", 640, 360, (596.7, 335.7)))
    known.remember(folder)
    return folder


def test_escape_leaves_at_once_and_the_screen_is_closed() -> None:
    evening = Evening([("panelwear", "key escape")])
    assert evening.run() == 0
    assert [screen.closed for screen in evening.screens] == [True]


def test_escape_while_a_page_comes_on_goes_back_and_does_not_leave(desk: Path) -> None:
    evening = Evening([("panelwear", "rehearse:"), ("panelwear", "key escape")])
    evening.fails_on = "Rehearsal"
    assert evening.run() == 0
    assert evening.titles[-2:] == ["Rehearsal", "panelwear"]
    assert evening.script == []


def test_a_command_that_needs_no_screen_is_told_on_the_same_screen(desk: Path) -> None:
    evening = Evening(
        [("panelwear", str(desk)), ("desk", "status"), ("All checkpoints: desk, done", "back"), ("desk", "key escape"),
         ("panelwear", "key escape")]
    )  # fmt: skip
    assert evening.run() == 0
    assert len(evening.screens) == 1
    assert "All checkpoints: desk" in evening.titles


def test_a_command_that_needs_the_screen_has_it_to_itself_and_what_it_said_is_told(desk: Path) -> None:
    evening = Evening(
        [("panelwear", str(desk)), ("desk", "look"), ("By-eye check: desk", "type 5"),
         ("By-eye check: desk", "go"), ("By-eye check: desk, not done", "back"), ("By-eye check: desk", "key escape"),
         ("Back?", "leave"), ("desk", "key escape"), ("panelwear", "key escape")]
    )  # fmt: skip
    assert evening.run() == 0
    assert [screen.closed for screen in evening.screens] == [True, True]
    page = next(page for page in evening.screens[1].note.pages if page.title == "By-eye check: desk, not done")
    assert any("there is no display here" in getattr(part, "text", "") for part in page.parts)


def test_before_an_inspection_the_way_is_worked_out_beside_the_screen_and_begins_it(desk: Path) -> None:
    (desk / "probe.toml").write_text('link = "keyboard"\n', encoding="utf-8")
    evening = Evening(
        [("panelwear", str(desk)), ("desk", "inspect"), ("Inspection: desk", "type 5"), ("Inspection: desk", "go"),
         ("The probe's way: checkpoint", "begin"), ("Inspection: desk, not done", "back"),
         ("Inspection: desk", "key escape"), ("Back?", "key b"), ("desk", "key escape"), ("panelwear", "key escape")]
    )  # fmt: skip
    assert evening.run() == 0
    assert evening.script == []
    assert [screen.closed for screen in evening.screens] == [True, True]


def test_a_new_panel_is_made_and_opened(desk: Path, tmp_path: Path) -> None:
    evening = Evening(
        [("panelwear", "new:"), ("New panel", "type two"), ("New panel", "go"),
         ("two", "key escape"), ("panelwear", "key escape")]
    )  # fmt: skip
    assert evening.run() == 0
    assert (tmp_path / "panelwear" / "two" / "panel.toml").exists()
    assert known.read_known(known.known_file())[0] == str(tmp_path / "panelwear" / "two")


def test_a_second_click_of_the_same_moment_gives_up_nothing_that_was_typed(desk: Path) -> None:
    evening = Evening(
        [("panelwear", "new:"), ("New panel", "type two"), ("New panel", "leave twice"),
         ("Back?", "key return"), ("New panel", "go"), ("two", "key escape"), ("panelwear", "key escape")]
    )  # fmt: skip
    assert evening.run() == 0
    assert evening.script == []


def test_a_folder_is_found_and_opened_and_another_forgotten(desk: Path, tmp_path: Path) -> None:
    known.write_known(known.known_file(), (str(tmp_path / "gone"),))
    evening = Evening(
        [("panelwear", "open:"), ("Open a panel folder", str(desk)), ("desk", "key escape"),
         ("panelwear", str(tmp_path / "gone")), ("gone", "forget"), ("panelwear", "key escape")]
    )  # fmt: skip
    assert evening.run() == 0
    assert known.read_known(known.known_file()) == (str(desk),)


@pytest.mark.parametrize("redirect", ["</dev/null", "<&-"])
@pytest.mark.parametrize(
    "words",
    [
        "",
        "status {0}",
        "close {0}",
        "report {0}",
        "new x",
        "look {0} --hours 5",
        "spot {0} --hours 5 --probe keyboard",
        "probe stability {0}",
    ],
)
def test_no_command_hangs_or_fails_by_a_fault_of_its_own_without_an_input(
    desk: Path, words: str, redirect: str
) -> None:
    line = f'"{sys.executable}" -m panelwear {words.format(desk)} {redirect}'
    done = subprocess.run(
        ["sh", "-c", line], cwd=desk.parent, env=dict(os.environ), capture_output=True, text=True, check=False,
        timeout=120,
    )  # fmt: skip
    assert done.returncode in {0, 1, 2, 3, 5}, done.stderr
    assert done.stdout or done.stderr


def test_a_report_without_a_browser_says_where_it_lies(
    desk: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:

    asked: list[str] = []
    monkeypatch.setattr(webbrowser, "open", lambda url: bool(asked.append(url)))
    evening = Evening([("Report", "back"), ("panelwear", "key escape")])
    start = StartScreen(evening.open_up, evening.clock)  # type: ignore[arg-type]
    start._state = State(World(), (First(), First()), wish=Browse(str(tmp_path / "a.html")))
    assert start.run() == 0
    assert asked == [(tmp_path / "a.html").as_uri()]
    assert "Report" in evening.titles
