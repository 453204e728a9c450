"""What is worked out once for one object: kept in a memo that lives, and goes, with the object."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import Any, TypeVar

Result = TypeVar("Result")


def once(memo: dict[Any, Any], key: Hashable, make: Callable[[], Result]) -> Result:
    """Return what was made under this key; it is made where it is not there yet."""
    if key not in memo:
        memo[key] = make()
    found: Result = memo[key]
    return found
