"""The scripted operator."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from groundwork.clock import VirtualClock
from panelwear.errors import UsageError
from panelwear.screen.operator import Operator, Progress, Question
from panelwear.simulation.scripted import ScriptedOperator
from sequences.model import Place


class Hands:
    """Notes what is done to the probe."""

    def __init__(self) -> None:
        self.done: list[tuple[str, object]] = []

    def put(self, at_px: tuple[float, float]) -> None:
        self.done.append(("put", at_px))

    def cover(self, covered: bool = True) -> None:
        self.done.append(("cover", covered))

    def switch_panel(self, on: bool) -> None:
        self.done.append(("panel", on))


def number(text: str) -> str:
    try:
        return f"{float(text):g}"
    except ValueError:
        raise ValueError("say a number") from None


def test_it_answers_from_the_script_else_with_the_default() -> None:
    operator: Operator = ScriptedOperator({"room_lx": "0.30"})
    assert operator.ask(Question("room_lx", "How bright?", "0", check=number)) == "0.3"
    assert operator.ask(Question("rest_h", "Rested?", "8")) == "8"


def test_an_answer_that_will_not_do_ends_with_a_sentence() -> None:
    operator = ScriptedOperator({"room_lx": "dark", "hdr": "perhaps"})
    with pytest.raises(UsageError, match="scripted answer 'dark' to 'room_lx' will not do: say a number"):
        operator.ask(Question("room_lx", "How bright?", check=number))
    with pytest.raises(UsageError, match="allowed: on, off"):
        operator.ask(Question("hdr", "HDR?", "off", choices=("on", "off")))


def test_it_moves_the_probe_and_takes_a_persons_time() -> None:
    hands, clock = Hands(), VirtualClock(datetime(2026, 1, 5, tzinfo=UTC))
    began_s = clock.monotonic_s()
    operator = ScriptedOperator(probe=hands, clock=clock, moving_s=20.0)
    operator.put_probe(Place("centre", (640.0, 360.0)), "put the probe on the target")
    assert hands.done == [("put", (640.0, 360.0))]
    assert operator.places == ["centre"]
    assert clock.monotonic_s() - began_s == 20.0


def test_it_does_with_the_hands_what_it_promises_in_the_room_step() -> None:
    hands = Hands()
    operator = ScriptedOperator(probe=hands)
    ready = ("ready", "skip")
    for key in ("probe-floor", "probe-floor-done", "screen-off", "screen-off-done"):
        operator.ask(Question(key, "…", "ready", ready))
    assert hands.done == [("cover", True), ("cover", False), ("panel", False), ("panel", True)]
    ScriptedOperator({"probe-floor": "skip"}, hands).ask(Question("probe-floor", "…", "ready", ready))
    assert len(hands.done) == 4


def test_it_keeps_what_it_was_told_and_passes_progress_on() -> None:
    said: list[str] = []
    seen: list[Progress] = []
    operator = ScriptedOperator(say=said.append, on_progress=seen.append)
    operator.tell("warm-up: 20 min")
    operator.go_on("look away now")
    operator.progress(Progress(1, 2, 0.5, 60.0, "ramp/centre/grey/c128/w10"))
    operator.bell()
    assert operator.told == ["warm-up: 20 min", "look away now"]
    assert said == ["warm-up: 20 min"]
    assert seen[0].what == "ramp/centre/grey/c128/w10"
    assert operator.bells == 1
