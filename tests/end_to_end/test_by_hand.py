"""A person at the screen: prompts answered with real keys, a pause, Escape, the terminal as the other way in."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from panelwear.folder import checkpoint
from tests.end_to_end.stand import Desk, desk, probe_server
from tests.screens import Program

pytestmark = [pytest.mark.screen, pytest.mark.skipif(os.name != "posix", reason="Xvfb needs POSIX")]


@pytest.fixture
def stand(tmp_path: Path) -> Iterator[Desk]:
    with desk(tmp_path) as made:
        yield made


def attended(stand: Desk, url: str) -> list[str]:
    """Words of an inspection that asks its questions."""
    words = stand.inspect(url, "--sequence", str(stand.folder.parent / "short.toml"))
    return [word for word in words if word != "--yes"]


def wait_ended(process: Program, seconds: float = 60.0) -> int:
    return process.process.wait(timeout=seconds)


@pytest.mark.slow
def test_every_prompt_is_answered_with_keys_on_the_screen(stand: Desk) -> None:
    """Cautions, questions, placements: nothing but the keyboard of the machine under inspection."""
    with (
        probe_server(stand.display, "--values", "screen", "--transport", "tcp") as url,
        stand.running(*attended(stand, url)) as process,
    ):
        process.wait_for("LISTENS")
        end_s = time.monotonic() + 120
        stand.display.key("Return")
        process.wait_for("PAGE Before the first light")
        process.wait_for("LISTENS")
        stand.display.type_text("62")
        while process.process.poll() is None and time.monotonic() < end_s:
            stand.display.key("Return")
            time.sleep(0.5)
        assert wait_ended(process) == 0

    record = checkpoint.find(stand.folder, None).record
    assert record["sessions"][0]["status"] == "done"
    assert "62" in record["answers"]["brightness"]
    assert len(stand.rows()) > 20


def test_escape_stops_the_run_and_what_was_read_is_kept(stand: Desk) -> None:
    with probe_server(stand.display, "--values", "screen", "--transport", "tcp") as url:
        words = stand.inspect(url, "--sequence", str(stand.folder.parent / "short.toml"))
        with stand.running(*words) as process:
            for _ in range(3):
                process.wait_shown("window")
            stand.display.key("Escape")
            assert wait_ended(process) == 1

    assert stand.rows()
    assert checkpoint.find(stand.folder, None).session["status"] == "stopped"


@pytest.mark.slow
def test_the_terminal_answers_too(stand: Desk) -> None:
    with (
        probe_server(stand.display, "--values", "screen", "--transport", "tcp") as url,
        stand.running(*attended(stand, url)) as process,
    ):
        process.wait_cautions()
        process.answer("")
        process.wait_for("Return takes all")
        process.answer("1 by-terminal")
        end_s = time.monotonic() + 30
        answers: dict[str, str] = {}
        while "brightness" not in answers and time.monotonic() < end_s:
            process.answer("")
            time.sleep(0.2)
            found = checkpoint.all_of(stand.folder)
            answers = found[0].record.get("answers", {}) if found else {}
        stand.display.key("Escape")
        assert wait_ended(process, 15) == 1

    assert answers["brightness"] == "by-terminal"
