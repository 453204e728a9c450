"""Opening screen and probe: in which order, and what is said of a screen that is not the panel's size."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from groundwork.clock import VirtualClock
from panelwear.cli import main
from panelwear.errors import ProbeFault, ScreenFault, UsageError
from panelwear.folder import checkpoint
from panelwear.folder.panel import Panel, ProbeSettings, load_panel, load_probe_settings
from panelwear.run import opening, plan, session
from panelwear.run.progress import overlay_card
from panelwear.screen import window
from panelwear.screen.fake import FakeScreen
from panelwear.screen.operator import Awaited, Progress, Unattended
from panelwear.simulation.scripted import ScriptedOperator
from panelwear.upkeep.create import PanelSpec, new_panel
from probe_io.reading import ProbeIdentity
from tests.panelwear.readings.rows import SOME_ROW


@pytest.fixture
def panel(tmp_path: Path) -> Panel:
    new_panel(tmp_path / "harbour-desk", PanelSpec("harbour-desk", 320, 200, (320.0, 200.0)))
    return load_panel(tmp_path / "harbour-desk")


def screen_of(monkeypatch: pytest.MonkeyPatch, width: int, height: int) -> None:
    made = FakeScreen(width, height, VirtualClock(datetime(2026, 2, 3, tzinfo=UTC)))
    monkeypatch.setattr(window, "open_screen", lambda *_, **__: made)


def test_a_screen_of_another_size_counts_as_scaled_when_it_is_allowed(
    panel: Panel, monkeypatch: pytest.MonkeyPatch
) -> None:
    screen_of(monkeypatch, 640, 360)
    with opening.open_visible(panel, opening.Wishes(allow_scaled=True)) as (screen, _):
        assert screen.facts.scaled
        assert "panel.toml says 320 x 200 pixels, the screen has 640 x 360" in screen.facts.notes[-1]


def test_a_screen_of_another_size_is_refused_otherwise(panel: Panel, monkeypatch: pytest.MonkeyPatch) -> None:
    screen_of(monkeypatch, 640, 360)
    with (
        pytest.raises(ScreenFault, match="choose the monitor"),
        opening.open_visible(panel, opening.Wishes()),
    ):
        pass


def test_a_screen_of_the_panels_size_is_not_called_scaled(panel: Panel, monkeypatch: pytest.MonkeyPatch) -> None:
    screen_of(monkeypatch, 320, 200)
    wishes = opening.Wishes(allow_scaled=True, unattended=True)
    with opening.open_visible(panel, wishes) as (screen, operator):
        assert not screen.facts.scaled
        assert screen.facts.notes == ()
        assert isinstance(operator, Unattended)


def test_a_typed_reading_needs_a_person_and_says_so() -> None:
    awaited = Awaited()
    with pytest.raises(UsageError, match="nobody can be asked"):
        awaited.ask("Type Y")
    awaited.operator = ScriptedOperator({"reading": "12.5"})
    assert awaited.ask("Type Y") == "12.5"


def test_the_keyboard_is_a_probe_without_an_instrument_file(panel: Panel) -> None:
    settings = plan.settings_with(load_probe_settings(panel.directory), None, "keyboard")
    with opening.opened_probe(panel, settings, Awaited()) as (probe, identity):
        assert probe is not None
        assert identity is not None
        assert identity.instrument == "keyboard"
    with opening.opened_probe(panel, ProbeSettings(), Awaited()) as found:
        assert found == (None, None)


def inspect(panel: Panel, *words: str) -> list[str]:
    return ["inspect", str(panel.directory), "--hours", "500", "--sequence", "spot", *words]


def test_a_person_who_types_and_a_run_that_waits_for_nobody_do_not_go_together(
    panel: Panel, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(inspect(panel, "--yes", "--probe", "keyboard")) == 2
    said = capsys.readouterr().err
    assert "--yes waits for nobody, and the probe 'keyboard' is a person who types" in said
    assert said.count("\n") == 1


def test_a_probe_that_does_not_answer_is_told_before_any_screen_opens(
    panel: Panel, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def opened(*_: object, **__: object) -> FakeScreen:
        raise AssertionError("the screen was opened first")

    monkeypatch.setattr(window, "open_screen", opened)
    words = ("--yes", "--instrument", "plain-lines", "--probe", str(panel.directory / "no-such-port"))
    assert main(inspect(panel, *words)) == 4
    assert "no-such-port" in capsys.readouterr().err


def files_of(panel: Panel) -> dict[str, bytes]:
    return {
        path.relative_to(panel.directory).as_posix(): path.read_bytes()
        for path in sorted(panel.directory.rglob("*"))
        if path.is_file() and path.name != "run.lock"
    }


@pytest.mark.parametrize("words", [(), ("--yes",)])
def test_an_inspection_that_names_no_probe_is_refused_with_three_ways_out(
    panel: Panel, capsys: pytest.CaptureFixture[str], words: tuple[str, ...]
) -> None:
    before = files_of(panel)

    assert main(inspect(panel, *words)) == 2

    said = capsys.readouterr().err
    assert all(way in said for way in ("--instrument NAME|FILE --probe URL", "--probe keyboard", "--no-probe"))
    assert said.count("\n") == 1
    assert files_of(panel) == before
    assert main(inspect(panel, "--dry-run")) == 0


def test_what_does_not_go_with_the_checkpoints_is_refused_before_anything_opens(
    panel: Panel, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def opened(*_: object, **__: object) -> FakeScreen:
        raise AssertionError("the screen was opened first")

    monkeypatch.setattr(window, "open_screen", opened)
    checkpoint.open_or_create(panel.directory, "harbour-desk", 400.0, None, datetime(2026, 2, 3, tzinfo=UTC))
    before = files_of(panel)

    assert main(inspect(panel, "--yes", "--instrument", "plain-lines", "--probe", "socket://127.0.0.1:1")) == 2

    assert "is still open" in capsys.readouterr().err
    assert files_of(panel) == before


IDENTITY = ProbeIdentity("plain-lines", "socket://127.0.0.1:5025", model="Pixels", serial="42")


@pytest.mark.parametrize("Y_cd_m2", [182.4, None])
def test_the_probe_is_remembered_once_it_has_read_something(
    panel: Panel, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], Y_cd_m2: float | None
) -> None:
    @contextmanager
    def opened(*_: object) -> Iterator[tuple[None, ProbeIdentity]]:
        yield None, IDENTITY

    def read_once_then_silent(bench: object, job: session.Job) -> session.Outcome:
        now = datetime(2026, 2, 3, tzinfo=UTC)
        job.checkpoint.begin_session(sequence="spot", source=b"", seed=1, now=now, facts={})
        assert 'link = ""' in (panel.directory / "probe.toml").read_text(encoding="utf-8")
        with job.checkpoint.open_journal() as journal:
            journal.append(replace(SOME_ROW, Y_cd_m2=Y_cd_m2))
        raise ProbeFault("the probe is silent")

    screen_of(monkeypatch, 320, 200)
    monkeypatch.setattr(opening, "opened_probe", opened)
    monkeypatch.setattr(opening, "warm", lambda: None)
    monkeypatch.setattr(session, "run_checkpoint", read_once_then_silent)
    named = ("--instrument", "plain-lines", "--probe", IDENTITY.link)

    assert main(inspect(panel, "--yes", *named)) == 4

    written = (panel.directory / "probe.toml").read_text(encoding="utf-8")
    assert (f'link = "{IDENTITY.link}"' in written) == (Y_cd_m2 is not None)
    told = "probe: plain-lines on socket://127.0.0.1:5025 (model Pixels, serial number 42)"
    assert told in capsys.readouterr().out


def test_the_probe_in_use_stands_on_the_overlay() -> None:
    card = overlay_card(Progress(1, 2, 0.5, 60.0, "ramp", probe="plain-lines on COM3 (serial number 42)"))
    assert card.lines[-1] == "plain-lines on COM3 (serial number 42)"
    assert len(overlay_card(Progress(1, 2, 0.5, 60.0, "ramp")).lines) == 2
