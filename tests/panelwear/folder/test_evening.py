"""What was answered this evening."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from panelwear.folder.checkpoint import Checkpoint
from panelwear.folder.evening import given_this_evening, of_this_evening

NOW = datetime(2026, 2, 3, 22, tzinfo=UTC)


def session(number: int, began: str, **answers: str) -> dict[str, Any]:
    return {"number": number, "started_utc": began, **({"answers": answers} if answers else {})}


def checkpoint(*sessions: dict[str, Any], amended: tuple[dict[str, Any], ...] = (), **answers: str) -> Checkpoint:
    record = {"hours": 500.0, "cycles": None, "answers": answers, "sessions": [*sessions]}
    return Checkpoint(Path("2026-02-03-h500"), record, amended)


def test_the_newest_answer_of_this_evening_counts_and_it_is_told_when_it_was_given() -> None:
    found = checkpoint(
        session(1, "2026-02-03T19:00:00.000Z", brightness="60", room_C="24"),
        session(2, "2026-02-03T21:35:00.000Z", room_C="25"),
        brightness="60",
        room_C="25",
    )
    given = given_this_evening(found, NOW, 3)
    assert given.answers == {"brightness": "60", "room_C": "25"}
    assert given.told == "25 min ago, in session 2 of this checkpoint"
    assert given_this_evening(found, NOW, 2).told == "3 h 00 min ago, in session 1 of this checkpoint"


def test_an_answer_amended_since_is_given_as_it_was_corrected() -> None:
    amended = {
        "utc": "2026-02-03T21:00:00.000Z",
        "text": "slip",
        "set": {"brightness": "62"},
        "was": {"brightness": "6"},
    }
    found = checkpoint(session(1, "2026-02-03T20:00:00Z", brightness="6"), amended=(amended,), brightness="6")
    assert given_this_evening(found, NOW, 2).answers == {"brightness": "62"}


@pytest.mark.parametrize("began", ["2026-02-03T09:59:00Z", "2026-02-04T01:00:00Z", "soon", "", "2026-02-03T20:00:00"])
def test_another_day_the_future_and_a_damaged_time_are_not_this_evening(began: str) -> None:
    found = checkpoint(session(1, began, brightness="60"), brightness="60")
    assert given_this_evening(found, NOW, 2).answers == {}
    assert [*of_this_evening(found, NOW, 2)] == []


def test_twelve_hours_are_one_evening() -> None:
    began = (NOW - timedelta(hours=12)).isoformat()
    assert [one["number"] for one in of_this_evening(checkpoint(session(1, began)), NOW, 2)] == [1]
