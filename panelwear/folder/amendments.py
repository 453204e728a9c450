"""What was found wrong in a checkpoint is corrected beside its record, which stays as it was written: both are kept."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from panelwear.folder.hours import HOURS_KEYS, recorded

OF_THE_CHECKPOINT = ("hours", "cycles")
"""What belongs to the checkpoint itself; anything else that can be corrected is an answer to a question."""
_OF_THE_RECORD = (*OF_THE_CHECKPOINT, *HOURS_KEYS)


def value_of(record: Mapping[str, Any], key: str) -> Any:
    """Return what a record says of a key that can be corrected, ``None`` where it says nothing."""
    return record.get(key) if key in _OF_THE_RECORD else (record.get("answers") or {}).get(key)


def corrected(record: dict[str, Any], amendments: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
    """Return a record with its corrections, oldest first.

    One holds only while the record still says what was corrected: what a person answered afterwards is newer.
    """
    found = {**record, "answers": {**(record.get("answers") or {})}}
    for amendment in amendments:
        for key, value in (amendment.get("set") or {}).items():
            if value_of(found, key) != (amendment.get("was") or {}).get(key):
                continue
            (found if key in _OF_THE_RECORD else found["answers"])[key] = value
    return found


def told(amendment: Mapping[str, Any]) -> str:
    """Say one amendment: when, by whom, what it changes, why."""
    by = f" by {amendment['by']}" if amendment.get("by") else ""
    was, now = _in_words(amendment.get("was") or {}), _in_words(amendment.get("set") or {})
    changes = ", ".join(
        f"{key} is {value}, was {'not stated' if was.get(key) in (None, '') else was[key]}"
        for key, value in now.items()
    )
    what = f"{changes}: " if changes else ""
    return f"amended on {amendment['utc'][:10]}{by}: {what}{amendment['text'].rstrip('.')}"


def _in_words(values: Mapping[str, Any]) -> dict[str, Any]:
    """Return what was set with hours and how they are known as one, where that is told."""
    if "hours_kind" not in values or values.get("hours") is None:
        return {**values}
    known = {key: value for key, value in values.items() if value is not None}
    return {key: recorded(known).told if key == "hours" else value for key, value in values.items()
            if key not in HOURS_KEYS}  # fmt: skip
