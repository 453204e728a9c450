"""From nothing to a closed checkpoint and its report: the start screen, mouse and keyboard, no terminal, no editor.

Its steps are the journey ``spot`` of docs/journeys.toml.
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
from tests.journeys import Journey
from tests.screens import Display, Program, program, window_manager, xvfb

pytestmark = [pytest.mark.screen, pytest.mark.skipif(os.name != "posix", reason="Xvfb needs POSIX")]

PLACING = "How the probe is put on"
SESSION_S = 300.0
"""A line of a session comes within this time, its longest wait included."""


class Hand:
    """A person's hand and eye at the start screen: sees which page is on and where its rows stand."""

    def __init__(self, display: Display, run: Program) -> None:
        self.display = display
        self.run = run
        self.rows: dict[str, list[int]] = {}
        self.title = ""
        self.journey = Journey("spot", display)

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

    def click(self, row: str) -> None:
        x, y, w, h = self.rows[row]
        self.display.click(x + w // 2, y + h // 2)

    def types(self, row: str, text: str) -> None:
        """Click on a row that is typed into, and type."""
        self.click(row)
        self.display.type_text(text)

    def confirms(self, title: str, step: str) -> None:
        """Press Return on a page of a session, once it is heard."""
        self.sees(title)
        self.run.wait_for("LISTENS")
        self.journey.step(step)
        self.display.key("Return")

    def fills_in(self, title: str, done: str, step: str, first: str) -> None:
        """Answer the first question of a session's form, and press Return at the others until the next page is on."""
        self.sees(title)
        self.run.wait_for("LISTENS")
        self.display.type_text(first)
        self.journey.step(step)
        self.display.key("Return")
        while (said := self.line()) != f"PAGE {done}":
            if said == f"PAGE {title}":
                self.display.key("Return")


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
        hand.journey.step("start")
        hand.display.key("Return")
        hand.sees("New panel", "go")
        hand.types("name", "harbour-desk")
        hand.types("diagonal", "27")
        hand.display.key("Return")  # to the folder, which has followed the name
        hand.journey.step("new-panel")
        hand.click("go")
        hand.sees("harbour-desk", "spot")
        hand.journey.step("panel")
        assert load_panel(folder).width_px == 1280

        hand.click("spot")
        hand.sees("Spot: harbour-desk", "go")
        hand.types("hours", "1460")
        hand.click("link")
        hand.sees("Probe", "simulated")
        hand.journey.step("probe")
        hand.click("simulated")
        hand.sees("Spot: harbour-desk", "warm_up")
        hand.types("warm_up", "0")
        hand.journey.step("spot-form")
        hand.click("go")
        hand.confirms("Before you go on", "cautions")
        hand.fills_in("Before the first light", PLACING, "questions", "60")
        hand.run.wait_for("LISTENS")
        hand.journey.step("how-the-probe-is-put-on")
        hand.display.key("Return")
        hand.run.wait_for("LISTENS")
        hand.journey.step("put-the-probe")
        hand.display.key("Return")
        hand.run.wait_shown("window")
        hand.journey.step("patch", moves=True)
        hand.sees("Done")
        hand.run.wait_for("LISTENS")
        hand.journey.step("read")
        hand.display.key("Return")
        hand.sees("Spot: harbour-desk, done")
        hand.journey.step("spot-done")
        hand.display.key("Return")

        hand.sees("harbour-desk", "close")
        hand.journey.step("panel-with-a-checkpoint")
        hand.click("close")
        hand.sees("Close the checkpoint: harbour-desk", "close")
        hand.journey.step("close")
        hand.click("close")
        hand.sees("Close the checkpoint: harbour-desk, done", "back")
        hand.journey.step("closed")
        hand.display.key("Return")
        hand.sees("harbour-desk", "report")
        hand.click("report")
        hand.sees("Report: harbour-desk, done", "browse")
        hand.journey.step("report")
        hand.display.key("Return")
        code, complaint = hand.run.finish()

    hand.journey.ended()
    assert (code, complaint) == (0, "")
    found = checkpoint.find(folder, None)
    assert (found.is_closed, found.hours, found.session["status"]) == (True, 1460, "done")
    assert found.session["probe"]["link"] == "simulated"
    assert len(found.rows()) > 50
    assert found.record["answers"]["brightness"] == "60"
    assert check(folder).problems == ()
    reports = list((folder / "reports").glob("*.html"))
    assert (tmp_path / "browsed").read_text(encoding="utf-8") == reports[0].resolve().as_uri()
