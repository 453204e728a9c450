"""The questions of an evening on a real screen: one form by keys and mouse, what it costs, and none a second time."""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from pathlib import Path

import pytest

from panelwear.folder import checkpoint
from panelwear.folder.checkpoint import Checkpoint
from tests.end_to_end.stand import Desk, desk, probe_server
from tests.screens import Program, window_manager

pytestmark = [pytest.mark.screen, pytest.mark.skipif(os.name != "posix", reason="Xvfb needs POSIX")]
FORM, COSTS, PLACING = (
    "PAGE Before the first light",
    "PAGE What is not as last time, and what it costs",
    "PAGE How the probe is put on",
)


@pytest.fixture
def stand(tmp_path: Path) -> Iterator[Desk]:
    with desk(tmp_path) as made:
        yield made


def words(stand: Desk, url: str) -> list[str]:
    """Words of an inspection that asks its questions."""
    said = stand.inspect(url, "--sequence", str(stand.folder.parent / "short.toml"))
    return [word for word in said if word != "--yes"]


def found(stand: Desk) -> Checkpoint:
    return checkpoint.find(stand.folder, None)


def heard(run: Program, page: str) -> None:
    """Wait until a page is on and keys count."""
    run.wait_for(page)
    run.wait_for("LISTENS")


def press(stand: Desk, run: Program, *keys: str) -> None:
    """Press keys of the form one by one, each once the page shows what the one before did."""
    for key in keys:
        stand.display.key(key)
        run.wait_for(FORM)


def through_cautions(stand: Desk, run: Program) -> None:
    run.wait_cautions()
    run.wait_for("LISTENS")
    stand.display.key("Return")


def leave(stand: Desk, run: Program) -> None:
    stand.display.key("Escape")
    assert run.process.wait(timeout=60) == 1


def test_the_form_is_filled_in_with_keys_its_cost_is_read_and_a_second_session_asks_nothing(stand: Desk) -> None:
    with probe_server(stand.display, "--values", "screen", "--transport", "tcp") as url:
        with stand.running(*words(stand, url)) as run:
            through_cautions(stand, run)
            heard(run, FORM)
            press(stand, run, "6", "2", "Return", "Down", "Right")  # brightness; the third is a choice
            press(stand, run, "End", "Up", "9")  # the last: light at the panel
            assert found(stand).record["answers"] == {}
            stand.display.key("Return")  # on the last row it takes all
            run.wait_for(COSTS)
            stand.display.key("Return")
            heard(run, PLACING)
            answers = found(stand).record["answers"]
            assert {key: answers[key] for key in ("brightness", "brightness_limiter", "room_lx", "pixel_shift")} == {
                "brightness": "62",
                "brightness_limiter": "yes",
                "room_lx": "9",
                "pixel_shift": "unknown",
            }
            leave(stand, run)
        assert any("caution: the room is brighter than 1 lx" in line for line in run.lines)

        with stand.running(*words(stand, url)) as run:
            through_cautions(stand, run)
            heard(run, FORM)
            stand.display.key("Return")
            run.wait_shown("target")
            leave(stand, run)
        assert PLACING not in run.lines  # shown this evening already, as the questions were answered
        assert any("The 8 answers given " in line and "are taken" in line for line in run.lines)
        sessions = found(stand).record["sessions"]
        assert [session["answers"] for session in sessions] == [answers, answers]


def click(stand: Desk, run: Program, row: str, page: str) -> None:
    """Click in the middle of a row of the page that is on, and wait for the page that comes of it."""
    told = next(line for line in reversed(run.lines) if line.startswith("ROWS "))
    x, y, w, h = json.loads(told.removeprefix("ROWS "))[row]
    stand.display.click(x + w // 2, y + h // 2)
    run.wait_for(page)


def test_the_form_is_filled_in_by_mouse_alone_but_for_the_letters_under_a_window_manager(stand: Desk) -> None:
    with (
        window_manager(stand.display),
        probe_server(stand.display, "--values", "screen", "--transport", "tcp") as url,
        stand.running(*words(stand, url)) as run,
    ):
        run.wait_cautions()
        run.wait_for("LISTENS")
        stand.display.click(5, 5)
        heard(run, FORM)
        click(stand, run, "room_lx", FORM)
        press(stand, run, "9")
        click(stand, run, "brightness_limiter", FORM)  # chooses the row
        click(stand, run, "brightness_limiter", FORM)  # another choice
        click(stand, run, "brightness", FORM)
        press(stand, run, "6", "2")
        click(stand, run, "go", COSTS)
        click(stand, run, "back", FORM)
        click(stand, run, "room_lx", FORM)
        press(stand, run, "BackSpace", "8")
        assert found(stand).record["answers"] == {}
        click(stand, run, "go", COSTS)
        click(stand, run, "go", PLACING)
        answers = found(stand).record["answers"]
        assert [answers[key] for key in ("brightness", "brightness_limiter", "room_lx")] == ["62", "yes", "8"]
        run.wait_for("LISTENS")
        leave(stand, run)


def test_a_click_right_after_typing_leaves_the_text_in_its_row(stand: Desk) -> None:
    with (
        probe_server(stand.display, "--values", "screen", "--transport", "tcp") as url,
        stand.running(*words(stand, url)) as run,
    ):
        through_cautions(stand, run)
        heard(run, FORM)
        click(stand, run, "picture_mode", FORM)
        stand.display.type_text("user")
        click(stand, run, "refresh_hz", FORM)  # at once, whatever of it is drawn already
        stand.display.type_text("75")
        click(stand, run, "go", PLACING)
        answers = found(stand).record["answers"]
        assert [answers[key] for key in ("brightness", "picture_mode", "refresh_hz")] == ["", "user", "75"]
        run.wait_for("LISTENS")
        leave(stand, run)


def test_escape_asks_before_what_was_typed_is_lost(stand: Desk) -> None:
    with (
        probe_server(stand.display, "--values", "screen", "--transport", "tcp") as url,
        stand.running(*words(stand, url)) as run,
    ):
        through_cautions(stand, run)
        heard(run, FORM)
        press(stand, run, "6", "2")
        stand.display.key("Escape")
        run.wait_for("PAGE Leave?")
        press(stand, run, "Return")  # stays
        click(stand, run, "leave", "PAGE Leave?")
        press(stand, run, "s", "5")  # stays too, and 's' is not typed; the digit begins the answer anew
        stand.display.key("Escape")
        run.wait_for("PAGE Leave?")
        stand.display.key("l")
        assert run.process.wait(timeout=60) == 1
    assert found(stand).record["answers"] == {}


def test_h_at_a_placement_shows_the_drawings_and_the_target_comes_back(stand: Desk) -> None:
    with (
        probe_server(stand.display, "--values", "screen", "--transport", "tcp") as url,
        stand.running(*words(stand, url)) as run,
    ):
        through_cautions(stand, run)
        heard(run, FORM)
        run.answer("1 62")
        run.wait_for(FORM)
        run.answer("")
        heard(run, PLACING)
        stand.display.key("Return")
        run.wait_shown("target")
        run.wait_for("LISTENS")
        stand.display.key("h")
        heard(run, PLACING)
        stand.display.key("Return")
        run.wait_shown("target")
        run.wait_for("LISTENS")
        leave(stand, run)
    assert found(stand).record["answers"]["brightness"] == "62"
