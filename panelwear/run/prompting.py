"""A prompt of a run: a pause or a look at the keys breaks it off, and it is put again afterwards."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from panelwear.run.orders import IN_PROMPTS, AsideError, Order, PromptOrders

T = TypeVar("T")


def prompted(
    put: Callable[[PromptOrders], T], obey: Callable[[Order], None], keys: Callable[[], None] | None = None
) -> T:
    """Put a prompt until it is answered.

    Args:
        put: Puts it, and hands what happens at the screen to its argument.
        obey: Does what was ordered in the middle of it.
        keys: Shows what h and ? show there; ``None``: the keys of a run.
    """
    while True:
        try:
            return put(PromptOrders(IN_PROMPTS))
        except AsideError as aside:
            if aside.order == "keys" and keys is not None:
                keys()
            else:
                obey(aside.order)
