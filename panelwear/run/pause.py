"""A pause: dim, moving, with words that say what is stored, how far the run is, and which keys go on."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from panelwear.folder.checkpoint import stamp
from panelwear.run.orders import KEYS, KEYS_TYPED, lets_go_on, order_in
from panelwear.run.state import RunState
from panelwear.screen.bench import Bench
from panelwear.screen.contract import Card
from panelwear.screen.waiting import moments
from panelwear.telling.words import counted
from patterns import build

MOVES_EVERY_S = 0.5
"""The dim wave behind the words moves on this often."""
STANDS_S = 20.0
"""The words stand at one place for so long: nothing may stand still on a panel that is inspected for what stood."""
PLACES = ("centre", "top-left", "bottom-right", "top-right", "bottom-left")
CODES = (14.0, 14.0, 14.0)
"""Of the wave: at most 1 cd/m² of a panel of 300 cd/m²."""
WATCHED_S = 60.0
"""After a longer pause the panel is watched until it is steady: it has cooled (common practice, no source)."""
KEYS_STAND_S = 30.0
"""The keys go away by themselves after so long."""


@dataclass(frozen=True, slots=True)
class Paused:
    """What a pause says."""

    what: str
    """What is stored, and where: "41 readings stored in 2026-02-03-h500"."""
    last: str = ""
    """The last reading in words, or empty."""
    where: str = ""
    """Where the run is: "visit 3 of 12, patch 41 of 210, about 34 min left"."""
    kept: str = "everything read is kept"
    """What Escape does not touch."""
    keys: tuple[str, ...] = KEYS

    def card(self, passed_s: float) -> Card:
        """Return the words after so many seconds, at their place of that moment."""
        minutes = int(passed_s // 60)
        lines = (self.what, self.last, self.where, "" if minutes < 1 else f"paused for {minutes} min")
        foot = ("", "Return: goes on", f"Escape: stops; {self.kept}", "h: shows all keys")
        shown = tuple(line for line in lines if line)
        return Card((*shown, *foot), title="Paused", corner=place_at(passed_s))


def run_paused(state: RunState, last: str, where: str) -> Paused:
    """Return what the pause of a run says: with its last reading, and where it stands."""
    return Paused(f"{counted(state.stored, 'reading')} stored in {state.checkpoint.name}", last, where)


def place_at(passed_s: float) -> str:
    """Return where the words stand after so many seconds."""
    return PLACES[int(passed_s // STANDS_S) % len(PLACES)]


def keys_card(corner: str, *, typed: bool, keys: tuple[str, ...] = KEYS) -> Card:
    """Return the card of all keys of a run."""
    return Card((*keys, *((KEYS_TYPED,) if typed else ()), "", "any key takes this away"), title="Keys", corner=corner)


def keep_paused(bench: Bench, paused: Paused) -> float:
    """Show the pause until somebody goes on; returns how long it was, in seconds.

    Raises:
        Stopped: Escape.
    """
    clock, screen = bench.clock, bench.screen
    bench.operator.tell(f"paused, {paused.what}; Return on the screen goes on")
    began_s = next_s = clock.monotonic_s()
    helping = False
    size = (screen.facts.width_px, screen.facts.height_px)
    for events in moments(screen, clock):
        if any(lets_go_on(event) for event in events):
            break
        asked = order_in(events) == "keys"  # p does nothing here: held down it comes again and again
        helping ^= asked
        now_s = clock.monotonic_s()
        if now_s >= next_s or asked:
            passed_s = now_s - began_s
            card = keys_card(place_at(passed_s), typed=False, keys=paused.keys) if helping else paused.card(passed_s)
            screen.show(build("pause", *size, codes=CODES, t_s=passed_s), None if next_s == began_s else 0.0, card)
            next_s = now_s + MOVES_EVERY_S
    seconds = clock.monotonic_s() - began_s
    bench.operator.tell(f"goes on after a pause of {seconds:.0f} s")
    return seconds


def show_keys(bench: Bench, corner: str, under: Card | None = None, *, typed: bool = False) -> None:
    """Lay the keys over what is on until any key comes; they go by themselves too, and ``under`` comes back."""
    clock, screen = bench.clock, bench.screen
    screen.card(keys_card(corner, typed=typed))
    for events in moments(screen, clock, clock.monotonic_s() + KEYS_STAND_S):
        if any(event.kind in {"key", "pointer-down"} for event in events):
            break
    screen.card(under)


def note_pause(state: RunState, seconds: float, next_row: int, ended_utc: datetime) -> None:
    """Record a pause, and have the patch settle anew, and the panel watched where it has cooled."""
    state.resettle = True
    state.paused_s += seconds
    state.unsteady |= seconds > WATCHED_S
    record = state.checkpoint.session
    noted = {"from_row": next_row, "ended_utc": stamp(ended_utc), "seconds": round(seconds, 1)}
    record["pauses"] = [*record.get("pauses", []), noted]
    state.checkpoint.save()
