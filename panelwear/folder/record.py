"""``checkpoint.json``: read with all faults at once, and digested so that a later edit is noticed."""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from panelwear.errors import FileFault, StorageFault

FORMAT = "panelwear checkpoint 2"
FORMER_FORMAT = "panelwear checkpoint 1"
"""Of version 0.1.0, which called a session a sitting."""
DIGEST = "record_sha256"
"""Key of the record's own digest, of everything but this key."""


def read_json(path: Path) -> Any:
    """Read a JSON file of ours; ``FileFault`` when it is none, ``StorageFault`` when it cannot be read."""
    try:
        return json.loads(path.read_bytes().decode("utf-8"), parse_constant=_refuse)
    except OSError as error:
        raise StorageFault(f"{path}: cannot be read ({error.strerror})") from None
    except (ValueError, RecursionError) as error:
        raise FileFault((f"{path.name}: {error}; restore it from a copy",)) from None


def _refuse(constant: str) -> Any:
    raise ValueError(f"{constant} is no number of JSON")


def upgraded(record: Any) -> Any:
    """Return a record of version 0.1.0 as it is written now; any other as it is. The file itself is not touched."""
    if not isinstance(record, dict) or record.get("format") != FORMER_FORMAT:
        return record
    return {("sessions" if key == "sittings" else key): value for key, value in record.items()} | {"format": FORMAT}


def read_record(path: Path) -> dict[str, Any]:
    """Read ``checkpoint.json``, one of version 0.1.0 too; ``FileFault`` lists what could not be worked with."""
    record = upgraded(read_json(path))
    if problems := tuple(f"{path.name}: {fault}" for fault in faults(record)):
        raise FileFault(problems)
    found: dict[str, Any] = record
    return found


def digest(record: dict[str, Any]) -> str:
    """Digest what a record says, whatever the order of its keys and the spaces between them."""
    said = json.loads(json.dumps({key: value for key, value in record.items() if key != DIGEST}, allow_nan=False))
    return hashlib.sha256(json.dumps(said, sort_keys=True, separators=(",", ":")).encode()).hexdigest()


def faults(record: Any) -> Iterator[str]:
    """Say what is wrong with a record."""
    record = upgraded(record)
    if not isinstance(record, dict):
        yield f"holds {_kind(record)} instead of a record; restore it from a copy"
        return
    if record.get("format") != FORMAT:
        yield f"format: {_told(record, 'format')}; wanted '{FORMAT}'"
        return
    if not (_is_number(record.get("hours")) and record["hours"] >= 0):
        yield f"hours: {_told(record, 'hours')}; wanted a number from 0"
    cycles = record.get("cycles")
    if cycles is not None and not _is_whole(cycles):
        yield f"cycles: {_told(record, 'cycles')}; wanted a whole number or null"
    if record.get("status") not in {"open", "closed"}:
        yield f"status: {_told(record, 'status')}; wanted 'open' or 'closed'"
    if not isinstance(record.get("started_utc"), str):
        yield f"started_utc: {_told(record, 'started_utc')}; wanted a time"
    for key in ("answers", "digests_at_close"):
        texts = record.get(key, {})
        if not (isinstance(texts, dict) and all(isinstance(text, str) for text in texts.values())):
            yield f"{key}: wanted texts by name"
    sessions = record.get("sessions")
    if not isinstance(sessions, list):
        yield f"sessions: {_told(record, 'sessions')}; wanted a list"
        return
    for number, session in enumerate(sessions, start=1):
        for fault in _session_faults(session, number):
            yield f"sessions[{number}]{fault}"


def _session_faults(session: Any, number: int) -> Iterator[str]:
    if not isinstance(session, dict):
        yield f": holds {_kind(session)} instead of a record"
        return
    if session.get("number") != number or not _is_whole(session["number"]):
        yield f".number: {_told(session, 'number')}; wanted {number}"
    for key in ("sequence", "sequence_file", "status"):
        if not isinstance(session.get(key), str):
            yield f".{key}: {_told(session, key)}; wanted a text"
    if not _is_whole(session.get("seed")):
        yield f".seed: {_told(session, 'seed')}; wanted a whole number"
    for key in ("response", "placements", "digests", "probe"):
        named = session.get(key, {})
        if not isinstance(named, dict) or (
            key in {"response", "placements"} and not all(isinstance(one, dict) for one in named.values())
        ):
            yield f".{key}: wanted records by name"
    segments = session.get("segments")
    if not isinstance(segments, list):
        yield f".segments: {_told(session, 'segments')}; wanted a list"
    elif not all(isinstance(s, dict) and _is_whole(s.get("first_row")) for s in segments):
        yield ".segments: each needs first_row, a whole number"


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


def _is_whole(value: object) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)


def _told(record: dict[str, Any], key: str) -> str:
    if key not in record:
        return "is missing"
    value = record[key]
    return f"is {value!r}" if isinstance(value, str | int | float | None) else f"is {_kind(value)}"


def _kind(value: object) -> str:
    names: dict[type, str] = {
        dict: "a record",
        list: "a list",
        str: "a text",
        type(None): "null",
        bool: "a truth value",
    }
    return names.get(type(value), "a number")
