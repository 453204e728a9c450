"""From nothing to a closed checkpoint and its report: the start screen, mouse and keyboard, no terminal, no editor.

With ``PANELWEAR_PICTURES`` naming a folder, every step leaves a picture of the whole screen there.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from panelwear.folder import checkpoint
from panelwear.folder.panel import load_panel
from panelwear.upkeep.check import check
from tests.screens import Display, Program, program, window_manager, xvfb

pytestmark = [pytest.mark.screen, pytest.mark.skipif(os.name != "posix", reason="Xvfb needs POSIX")]

SESSION_S = 300.0
"""A line of a session comes within this time, its longest wait included."""


class Hand:
    """A person's hand and eye at the start screen: sees which page is on and where its rows stand."""

    def __init__(self, display: Display, run: Program) -> None:
        self.display = display
        self.run = run
        self.rows: dict[str, list[int]] = {}
        self.title = ""
        self._pictures = 0

    def line(self, timeout_s: float = SESSION_S) -> str:
        said = self.run.wait_for("", timeout_s)
        if said.startswith("ROWS "):
            self.rows = json.loads(said.removeprefix("ROWS "))
        if said.startswith("PAGE "):
            self.title = said.removeprefix("PAGE ")
        return said

    def sees(self, title: str, row: str = "") -> None:
        """Wait for a page, and for a row of it."""
        while not (self.line() == f"PAGE {title}" and (not row or row in self.rows)):
            pass

    def picture(self, name: str) -> None:
        self._pictures += 1
        self.display.keep(f"{self._pictures:02d}-{name}")

    def click(self, row: str) -> None:
        x, y, w, h = self.rows[row]
        self.display.click(x + w // 2, y + h // 2)

    def types(self, row: str, text: str) -> None:
        """Click on a row that is typed into, and type."""
        self.click(row)
        self.display.type_text(text)

    def answers_until(self, title: str) -> int:
        """Press Return at whatever is asked or shown, until a page of the start screen is on; returns how often."""
        answered = 0
        while (said := self.line()) != f"PAGE {title}":
            if said == "LISTENS" or said.startswith("PAGE ") or said.endswith(":"):
                if answered < 3:
                    self.picture("in-the-session")
                self.display.key("Return")
                answered += 1
        return answered


@contextmanager
def started(tmp_path: Path, width: int = 1280, height: int = 720) -> Iterator[Hand]:
    browser = tmp_path / "browser"
    browser.write_text(f'#!/bin/sh\nprintf %s "$1" > "{tmp_path}/browsed"\n', encoding="utf-8")
    browser.chmod(0o755)
    extra = {"HOME": str(tmp_path), "XDG_STATE_HOME": str(tmp_path / "state"), "BROWSER": f"{browser} %s"}
    with xvfb(width, height) as display, window_manager(display), program(display, extra=extra) as run:
        yield Hand(display, run)


@pytest.mark.slow
@pytest.mark.timeout(1200)
def test_from_nothing_to_a_closed_spot_and_its_report_with_mouse_and_keyboard_alone(tmp_path: Path) -> None:
    folder = tmp_path / "panelwear" / "harbour-desk"
    with started(tmp_path) as hand:
        hand.sees("panelwear", "new:")
        hand.picture("start")
        hand.display.key("Return")
        hand.sees("New panel", "go")
        hand.types("name", "harbour-desk")
        hand.types("diagonal", "27")
        hand.display.key("Return")  # to the folder, which has followed the name
        hand.picture("new-panel")
        hand.click("go")
        hand.sees("harbour-desk", "spot")
        hand.picture("panel")
        assert load_panel(folder).width_px == 1280

        hand.click("spot")
        hand.sees("Spot: harbour-desk", "go")
        hand.types("hours", "1460")
        hand.click("link")
        hand.sees("Probe", "simulated")
        hand.picture("probe")
        hand.click("simulated")
        hand.sees("Spot: harbour-desk", "warm_up")
        hand.types("warm_up", "0")
        hand.picture("spot-form")
        hand.click("go")
        assert hand.answers_until("Spot: harbour-desk, done") >= 2
        hand.picture("spot-done")
        hand.display.key("Return")

        hand.sees("harbour-desk", "close")
        hand.picture("panel-with-a-checkpoint")
        hand.click("close")
        hand.sees("Close the checkpoint: harbour-desk", "close")
        hand.picture("close")
        hand.click("close")
        hand.sees("Close the checkpoint: harbour-desk, done", "back")
        hand.display.key("Return")
        hand.sees("harbour-desk", "report")
        hand.click("report")
        hand.sees("Report: harbour-desk, done", "browse")
        hand.picture("report")
        hand.display.key("Return")
        code, complaint = hand.run.finish()

    assert (code, complaint) == (0, "")
    found = checkpoint.find(folder, None)
    assert (found.is_closed, found.hours, found.session["status"]) == (True, 1460, "done")
    assert found.session["probe"]["link"] == "simulated"
    assert len(found.rows()) > 50
    assert check(folder).problems == ()
    reports = list((folder / "reports").glob("*.html"))
    assert (tmp_path / "browsed").read_text(encoding="utf-8") == reports[0].resolve().as_uri()
