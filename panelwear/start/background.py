"""What may take a while (files, ports) beside a screen that goes on hearing keys."""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable
from dataclasses import replace
from typing import Any

from panelwear.errors import PanelwearError
from panelwear.start.state import State

Apply = Callable[[State, Any], State]


class Background:
    """Runs functions one after another in a thread, and works what they found into the state when it is there."""

    def __init__(self) -> None:
        self._asked: queue.SimpleQueue[tuple[Callable[[], Any], Apply]] = queue.SimpleQueue()
        self._found: queue.SimpleQueue[tuple[Any, Apply]] = queue.SimpleQueue()
        # A daemon: a disk of the network that does not answer keeps nobody from leaving.
        threading.Thread(target=self._work, daemon=True).start()

    def ask(self, find: Callable[[], Any], apply: Apply) -> None:
        """Have something found out."""
        self._asked.put((find, apply))

    def _work(self) -> None:
        while True:
            find, apply = self._asked.get()
            try:
                self._found.put((find(), apply))
            except (PanelwearError, OSError) as error:
                self._found.put((str(error), with_remark))
            except Exception as error:
                self._found.put((error, _raised))

    def worked_in(self, state: State) -> State:
        """Return the state with what has been found meanwhile."""
        while True:
            try:
                found, apply = self._found.get_nowait()
            except queue.Empty:
                return state
            state = apply(state, found)


def with_remark(state: State, sentence: str) -> State:
    """Return the state with a sentence about what could not be done or looked up."""
    return replace(state, world=replace(state.world, ready=True, remarks=(*state.world.remarks, sentence)))


def _raised(state: State, error: Exception) -> State:
    raise error
