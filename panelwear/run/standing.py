"""Whether the patch really stands at the probe's place: proved before and after every reading, waited for if not."""

from __future__ import annotations

import math
from collections.abc import Callable

from panelwear.run.state import RunState
from panelwear.screen.bench import Bench
from panelwear.screen.contract import Proof, ScreenEvent
from panelwear.screen.waiting import SLICE_S, moments
from patterns.frame import Rect

UNSEEN_S = 600.0
"""How long a hidden or covered pattern is waited for on a clock that jumps."""
ALONE_S = 60.0
"""How long where nobody is there to clear the way; then the reading is taken, flagged, and tried again."""
LAG_S = 0.3
"""A compositor shows a frame later than it takes it; a proof that fails is asked again for so long."""
GOES_ON = "bring the pattern back and the readings go on by themselves (Escape in it, or Ctrl-C here, stops)"
UNLIT = Proof(holds=True)
"""Of a panel that is switched off nothing is to be proved."""
UNSEEN = (
    "what stands on the screen cannot be compared with the pattern here ({why}): a lost focus is noticed and waited "
    "for, a window that comes up without taking the focus is not; keep windows, bars and notifications away from it"
)
HIDDEN = "the pattern's window is hidden"


def disturbance(event: ScreenEvent) -> str:
    """Say what an event did to what is on the screen."""
    if event.kind == "covered":
        return f"{event.text} came over the pattern"
    return event.text or f"disturbed at the screen: {event.kind}"


def say_unseen(bench: Bench, state: RunState, proof: Proof, next_row: int) -> None:
    """Say, once, that the pixels of readings cannot be compared here, and record from which row on."""
    why = proof.unasked
    if not why or why == state.unseen or bench.screen.facts.off_screen:
        return
    state.unseen = why
    bench.operator.tell(UNSEEN.format(why=why))
    record = state.checkpoint.session
    record["uncompared"] = [*record.get("uncompared", []), {"from_row": next_row, "why": why}]
    state.checkpoint.save()


def around_probe(state: RunState) -> Rect | None:
    """Return the square the probe's aperture lies in, in pixels; ``None`` before the probe is anywhere."""
    place = state.place
    if place is None:
        return None
    half_mm = state.probe_settings.aperture_mm / 2
    across, down = (max(1, math.ceil(half_mm / pitch)) for pitch in state.panel.pitch_mm)
    x, y = (round(at) for at in place.at_px)
    return Rect(x - across, y - down, 2 * across + 1, 2 * down + 1)


def prove(bench: Bench, around: Rect | None, *, patient: bool) -> Proof:
    """Ask whether the frame stands on the screen.

    Args:
        bench: The screen is on it.
        around: What is compared whole.
        patient: Give a compositor time; after a reading nothing was to change, so nothing has to be waited for.
    """
    screen, clock = bench.screen, bench.clock
    if not screen.visible:
        return Proof(holds=False, why=HIDDEN)
    proof = screen.prove(around)
    end_s = clock.monotonic_s() + LAG_S
    while patient and proof.compared and not proof.holds and clock.monotonic_s() < end_s:
        clock.sleep(SLICE_S)
        proof = screen.prove(around)
    return proof


def wait_until_proved(bench: Bench, state: RunState, show_anew: Callable[[], None]) -> Proof:
    """Prove the frame; hold with a sentence while it does not stand there, then have it put up anew and settled.

    Args:
        bench: The screen, the clock and the person.
        state: Where the probe is, and whether anybody is there.
        show_anew: Puts the frame up again and lets it settle.

    Returns:
        The last proof; it holds, unless nobody came in time.
    """
    screen, clock = bench.screen, bench.clock
    around = around_probe(state)
    alone_until_s = clock.monotonic_s() + ALONE_S
    while not (proof := prove(bench, around, patient=True)).holds:
        if state.unattended and clock.monotonic_s() >= alone_until_s:
            return proof
        bench.operator.tell(f"{proof.why}: {GOES_ON}")
        bench.operator.bell()
        until_s = alone_until_s if state.unattended else math.inf
        if clock.fast:
            until_s = min(until_s, clock.monotonic_s() + UNSEEN_S)
        why = proof.why
        for _ in moments(screen, clock, until_s):
            now = prove(bench, around, patient=False)
            if now.holds:
                break
            if now.why.split(" (x")[0] != why.split(" (x")[0]:
                why = now.why
                bench.operator.tell(f"{why}: {GOES_ON}")
        else:
            return proof
        show_anew()
    return proof
