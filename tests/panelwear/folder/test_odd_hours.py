"""Hours that can hardly be right are questioned before a checkpoint is begun."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest

from groundwork.clock import RealClock
from panelwear.cli import main
from panelwear.errors import UsageError
from panelwear.folder import checkpoint
from panelwear.folder.odd_hours import odd_hours
from panelwear.run.opening import confirm_hours
from panelwear.simulation.scripted import ScriptedOperator
from panelwear.upkeep.create import PanelSpec, new_panel

NOW = datetime(2026, 2, 3, 20, tzinfo=UTC)
NAME = "2026-02-03-h100"


def closed(panel_dir: Path, now: datetime = NOW) -> list[checkpoint.Checkpoint]:
    found = checkpoint.open_or_create(panel_dir, "harbour-desk", 100, None, now)
    found.close(now)
    return [found]


@pytest.mark.parametrize(
    ("hours", "days", "said"),
    [
        (4488, 1, f"{NAME} was begun 24 h ago at 100 h: 4388 h more cannot have passed since"),
        (125, 1, ""),
        (820, 30, ""),
        (900, 30, f"{NAME} was begun 30 days ago at 100 h: 800 h more cannot have passed since"),
        (101, 0.05, f"there is a checkpoint of today already, {NAME} at 100 h"),
        (101, 0.2, ""),  # after midnight
        (200, -1, f"{NAME} was begun at 2026-02-03 20:00 UTC, which is still to come"),
    ],
)
def test_what_is_odd_is_said(tmp_path: Path, hours: float, days: float, said: str) -> None:
    odd = odd_hours(closed(tmp_path), hours, NOW + timedelta(days=days))

    assert odd.startswith(said)
    assert bool(odd) == bool(said)


def test_days_are_those_of_the_zone(tmp_path: Path) -> None:
    east = timezone(timedelta(hours=5))

    assert odd_hours(closed(tmp_path), 110, (NOW + timedelta(hours=10)).astimezone(east)) != ""


def test_the_first_checkpoint_and_one_gone_on_with_are_not_odd(tmp_path: Path) -> None:
    assert odd_hours([], 40_000, NOW) == ""
    found = checkpoint.open_or_create(tmp_path, "harbour-desk", 100, None, NOW)
    assert odd_hours([found], 100, NOW) == ""
    assert odd_hours([found], None, NOW) == ""


def test_a_person_is_asked_and_a_run_that_waits_for_nobody_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    panel_dir = tmp_path / "desk"
    new_panel(panel_dir, PanelSpec("harbour-desk", 320, 200, (320.0, 200.0)))
    closed(panel_dir, RealClock().utc())
    confirm_hours(panel_dir, 4488, ScriptedOperator({"hours_sure": "yes"}), sure=False)
    confirm_hours(panel_dir, 4488, None, sure=True)
    with pytest.raises(UsageError, match="4388 h more cannot have passed since; nothing was begun"):
        confirm_hours(panel_dir, 4488, ScriptedOperator({"hours_sure": "no"}), sure=False)

    words = ["inspect", str(panel_dir), "--hours", "4488", "--sequence", "spot", "--yes", "--no-probe"]
    assert main(words) == 2

    assert "or say --sure" in capsys.readouterr().err
    assert len(checkpoint.all_of(panel_dir)) == 1
