"""Opening screen and probe: in which order, and what is said of a screen that is not the panel's size."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from groundwork.clock import VirtualClock
from panelwear.cli import main
from panelwear.errors import ScreenFault, UsageError
from panelwear.folder.panel import Panel, ProbeSettings, load_panel, load_probe_settings
from panelwear.run import opening, plan
from panelwear.screen import window
from panelwear.screen.fake import FakeScreen
from panelwear.screen.operator import Awaited, Unattended
from panelwear.simulation.scripted import ScriptedOperator
from panelwear.upkeep.create import PanelSpec, new_panel


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
