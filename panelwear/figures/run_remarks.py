"""What a session's record says of its meter and its warm-ups, in sentences for the report's remarks."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any


def run_remarks(sessions: Iterable[Mapping[str, Any]]) -> tuple[str, ...]:
    """Say when the meter was away or another one, and which warm-up was shortened.

    Args:
        sessions: Records of the sessions, as ``checkpoint.json`` holds them.
    """
    return tuple(f"session {one.get('number', '?')}: {said}" for one in sessions for said in _said(one))


def _said(session: Mapping[str, Any]) -> Iterator[str]:
    for away in session.get("meter_away", ()):
        yield f"the meter was away for {away['seconds']:.0f} s at row {away['from_row']} ({away['why']})."
    for other in session.get("other_meters", ()):
        sure = other.get("sure_until_row")
        may_be = "" if sure is None else f"; rows {sure + 1} to {other['from_row'] - 1} may be of either"
        yield f"from row {other['from_row']} on {other['said']}, and a person went on{may_be}."
    for warm in session.get("warm_up_resumed", ()):
        if warm["how"] != "as planned":
            away_s = warm.get("interrupted_s")
            after = "" if away_s is None else f" of {away_s / 60:.0f} min"
            yield (
                f"after an interruption{after} before row {warm['from_row']} the warm-up was shortened: {warm['how']} "
                f"({warm['why']})."
            )
