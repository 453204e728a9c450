"""What was found wrong in a checkpoint is corrected beside its record, which stays as it was written: both are kept."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

OF_THE_CHECKPOINT = ("hours", "cycles")
"""What belongs to the checkpoint itself; anything else that can be corrected is an answer to a question."""


def value_of(record: Mapping[str, Any], key: str) -> Any:
    """Return what a record says of a key that can be corrected, ``None`` where it says nothing."""
    return record.get(key) if key in OF_THE_CHECKPOINT else (record.get("answers") or {}).get(key)


def corrected(record: dict[str, Any], amendments: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
    """Return a record with its corrections, oldest first.

    One holds only while the record still says what was corrected: what a person answered afterwards is newer.
    """
    found = {**record, "answers": {**(record.get("answers") or {})}}
    for amendment in amendments:
        for key, value in (amendment.get("set") or {}).items():
            if value_of(found, key) != (amendment.get("was") or {}).get(key):
                continue
            (found if key in OF_THE_CHECKPOINT else found["answers"])[key] = value
    return found


def told(amendment: Mapping[str, Any]) -> str:
    """Say one amendment: when, by whom, what it changes, why."""
    by = f" by {amendment['by']}" if amendment.get("by") else ""
    was = amendment.get("was") or {}
    changes = ", ".join(
        f"{key} is {value}, was {'not stated' if was.get(key) in (None, '') else was[key]}"
        for key, value in (amendment.get("set") or {}).items()
    )
    what = f"{changes}: " if changes else ""
    return f"amended on {amendment['utc'][:10]}{by}: {what}{amendment['text'].rstrip('.')}"
