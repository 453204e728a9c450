"""The record of a shoot: written whole, read back, its faults all at once; sealed and checked with the checkpoint."""

from __future__ import annotations

import hashlib
import json
from dataclasses import asdict, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from panelwear.errors import FileFault
from panelwear.folder import checkpoint
from panelwear.folder.shoots import (
    FORMAT,
    ShootRecord,
    ShotRecord,
    Stood,
    checked_shoot,
    list_path,
    next_name,
    record_path,
    save_shoot,
    shoots_of,
)
from panelwear.upkeep.check import check
from panelwear.upkeep.create import PanelSpec, new_panel
from sequences import shoots

NOW = datetime(2026, 2, 3, 18, tzinfo=UTC)
FROM, TO = "2026-02-03T18:00:00.000Z", "2026-02-03T18:00:20.000Z"
SOURCE = shoots.LISTS.find("short").read_bytes()
SHOTS = (
    ShotRecord("title-card", "title-card", 1, from_utc=FROM, to_utc=TO),
    ShotRecord("grey-50cd", "field", 8, (122.0,) * 3, "assumed-response", 50.0, 1.0, before=(Stood(FROM, TO),)),
    ShotRecord("even-surface", "even-surface", 8, skipped=True),
)


def record(number: int = 1, **changes: Any) -> ShootRecord:
    digest = hashlib.sha256(SOURCE).hexdigest()
    made = ShootRecord(FORMAT, f"shoot-{number}", "short", digest, "stopped", 0, FROM, SHOTS)
    return replace(made, **changes)


@pytest.fixture
def found(tmp_path: Path) -> checkpoint.Checkpoint:
    folder = tmp_path / "harbour-desk"
    new_panel(folder, PanelSpec("harbour-desk", 1280, 720, (598.0, 336.0)))
    made = checkpoint.open_or_create(folder, "harbour-desk", 1460, None, NOW)
    save_shoot(made.directory, record())
    list_path(made.directory, "shoot-1").write_bytes(SOURCE)
    return made


def test_it_is_read_as_it_was_written(found: checkpoint.Checkpoint) -> None:
    assert shoots_of(found.directory) == (record(),)
    assert check(record_path(found.directory, "shoot-1")).what == "record of a shoot"
    assert check(list_path(found.directory, "shoot-1")).what == "shooting list"
    assert check(found.directory).problems == ()


def test_the_first_shot_that_is_missing_is_found() -> None:
    assert record().missing == 1
    assert record(shots=SHOTS[:1]).missing is None
    assert record(shots=SHOTS[2:]).missing is None


def test_ten_follows_nine(found: checkpoint.Checkpoint) -> None:
    for number in (2, 9, 10):
        save_shoot(found.directory, record(number))
    assert [one.number for one in shoots_of(found.directory)] == [1, 2, 9, 10]
    list_path(found.directory, "shoot-14").write_bytes(b"left by a kill")
    assert next_name(found.directory) == "shoot-15"


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"status": "doen"}, "status: 'doen' is not known; allowed: running, stopped, done (did you mean 'done'?)"),
        ({"shoot": "first"}, "shoot: 'first' must be shoot-1"),
        ({"shots": [asdict(SHOTS[0]), {**asdict(SHOTS[1]), "name": "title-card"}]}, "shots: has 'title-card' twice"),
        ({"shots": [{**asdict(SHOTS[0]), "to_utc": None}]}, "to_utc: stands with from_utc or not at all"),
        ({"shots": [{**asdict(SHOTS[0]), "from_utc": "six"}]}, "from_utc: 'six' is no moment"),
        ({"shots": [{**asdict(SHOTS[1]), "codes": [0, 0, 256]}]}, "shots[1].codes[3]: 256"),
    ],
)
def test_what_cannot_be_worked_with_is_said(changes: dict[str, Any], told: str) -> None:
    data = json.loads(json.dumps({**asdict(record()), **changes}))
    with pytest.raises(FileFault) as caught:
        checked_shoot(data, "shoot-1.json")
    assert [line for line in caught.value.problems if told in line], caught.value.problems


def test_check_finds_what_was_changed(found: checkpoint.Checkpoint) -> None:
    list_path(found.directory, "shoot-1").write_bytes(SOURCE + b"frame = 3\n")
    (fault, *more) = check(found.directory.parent.parent).problems
    assert "shoots/shoot-1.json: list_sha256: is not the digest of shoot-1.toml" in fault
    assert "shoots/shoot-1.toml: shots[4].frame: unknown key; did you mean 'frames'?" in more[0]
    list_path(found.directory, "shoot-1").unlink()
    assert "shoot-1.toml: is missing" in check(found.directory).problems[0]
    record_path(found.directory, "shoot-1").write_text("{", encoding="utf-8")
    assert check(found.directory).problems


@pytest.mark.parametrize("name", ["shoot-1.json", "shoot-1.toml"])
def test_the_seal_covers_both(found: checkpoint.Checkpoint, name: str) -> None:
    found.close(NOW)
    assert found.changed_since_close() == ()
    path = found.directory / "shoots" / name
    path.write_bytes(path.read_bytes() + b"\n")
    assert found.changed_since_close() == (f"{found.name}/shoots/{name}: was changed after the checkpoint was closed",)
