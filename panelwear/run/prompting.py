"""A prompt of a run: a pause or a look at the keys breaks it off, and it is put again afterwards."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import TypeVar

from panelwear.folder.checkpoint import stamp
from panelwear.run.messages import UNATTENDED_S, Hand
from panelwear.run.orders import IN_PROMPTS, AsideError, Order, PromptOrders, lets_go_on, order_in
from panelwear.screen.bench import Bench
from panelwear.screen.contract import ScreenEvent
from panelwear.screen.operator import Watch
from panelwear.screen.waiting import happened, moments

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


BACK_KEYS = {"left", "page-up"}


def await_hand(bench: Bench, seconds: float | None, obey: Callable[[Order], None], watch: Watch | None = None) -> Hand:
    """Leave what is on until a hand goes on; after a pause it is left anew.

    Args:
        bench: Screen and clock.
        seconds: It ends by itself after so long; ``None``: it does not.
        obey: Does what was ordered meanwhile, and puts up again what was on.
        watch: Is handed what happens at the screen.
    """
    screen, clock = bench.screen, bench.clock
    while True:
        from_utc, end_s = stamp(clock.utc()), math.inf if seconds is None else clock.monotonic_s() + seconds
        order: Order = ""
        for events in _at_once(bench, seconds) if clock.fast else moments(screen, clock, end_s):
            if watch is not None:
                watch(events)
            if order := order_in(events):
                break
            back = any(event.kind == "key" and event.key in BACK_KEYS for event in events)
            if back or any(lets_go_on(event) for event in events):
                return Hand(back, from_utc, stamp(clock.utc()))
        if not order:
            return Hand(False, from_utc, stamp(clock.utc()), by_itself=True)
        obey(order)


def _at_once(bench: Bench, seconds: float | None) -> Iterator[tuple[ScreenEvent, ...]]:
    """Let the whole time pass where nobody is there."""
    bench.clock.sleep(UNATTENDED_S if seconds is None else seconds)
    yield happened(bench.screen)
