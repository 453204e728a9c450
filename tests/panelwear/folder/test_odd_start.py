"""When a checkpoint was begun: what is no moment is a fault, what can hardly be right is said."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path

import pytest

from panelwear.cli import main
from panelwear.folder import checkpoint
from panelwear.folder.odd_start import begun_at, begun_on, start_fault, start_remark
from panelwear.upkeep.check import check_checkpoint
from panelwear.upkeep.create import PanelSpec, new_panel

NOW = datetime(2026, 3, 1, 20, tzinfo=UTC)
READ = [{"probe": {"link": "/dev/ttyUSB0"}}]


@pytest.mark.parametrize("text", ["", "banana", "2026", "2026-02-30T00:00:00Z", "9999-12-31T23:59:00-05:00"])
def test_what_is_no_moment_is_a_fault(text: str) -> None:
    record = {"started_utc": text}
    assert begun_at(record) is None
    assert begun_on(record) == ""
    assert start_fault(record).startswith(f"started_utc: '{text}' is no moment such as 2026-02-03T18:00:00.000Z")
    assert start_remark(record, NOW) == ""


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("1999-12-31T23:59:59Z", "1999-12-31 23:59 UTC lies before the year 2000"),
        ("1970-01-01T00:00:00.000Z", "lies before the year 2000"),
        ("2026-03-03T00:00:00Z", "2026-03-03 00:00 UTC is still to come"),
        ("2000-01-01T00:00:00Z", ""),
        ("2026-03-01T20:00:00+01:00", ""),
        ("2026-03-02T08:00:00Z", ""),
    ],
)
def test_what_can_hardly_be_right_is_said(text: str, said: str) -> None:
    remark = start_remark({"started_utc": text, "sessions": READ}, NOW)
    assert said in remark
    assert bool(said) == bool(remark)
    assert start_fault({"started_utc": text}) == ""
    # A rehearsal goes through its year within minutes.
    assert start_remark({"started_utc": text, "sessions": [{"probe": {"link": "simulated"}}]}, NOW) == ""


def test_check_names_it_and_the_state_of_the_panel_is_told_all_the_same(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    new_panel(tmp_path, PanelSpec("harbour-desk", 1920, 1080, (598, 336)))
    found = checkpoint.open_or_create(tmp_path, "harbour-desk", 500, None, NOW)
    found.begin_session(sequence="spot", source=b"x = 1\n", seed=1, now=NOW, facts={"probe": {"link": "COM3"}})
    record = json.loads(found.record_path.read_text(encoding="utf-8"))

    def told(started_utc: str) -> None:
        found.record_path.write_text(json.dumps(record | {"started_utc": started_utc}), encoding="utf-8")
        main(["status", str(tmp_path)])

    told("2026-13-13")
    out = capsys.readouterr()
    assert out.err == ""
    assert f"{found.name}/checkpoint.json: started_utc: '2026-13-13' is no moment" in " ".join(out.out.split())
    assert check_checkpoint(found.directory, NOW).problems != ()
    told("9999-12-31T23:59:00Z")
    assert capsys.readouterr().err == ""
    (said,) = check_checkpoint(found.directory, NOW).remarks
    assert said.startswith(f"{found.name}/checkpoint.json: started_utc: 9999-12-31 23:59 UTC is still to come")
    assert check_checkpoint(found.directory, NOW).problems == ()
