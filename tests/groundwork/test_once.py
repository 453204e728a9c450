"""What is worked out once."""

from __future__ import annotations

from typing import Any

from groundwork.once import once


def test_it_is_made_once_a_key_and_nothing_is_a_result_too() -> None:
    memo: dict[Any, Any] = {}
    made: list[str] = []

    def none(key: str) -> None:
        made.append(key)

    for key in ("a", "b", "a"):
        assert once(memo, key, lambda key=key: none(key)) is None  # type: ignore[misc]
    assert made == ["a", "b"]
