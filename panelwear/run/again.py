"""Reading a patch again, and correcting a typed reading: new rows that say which ones they stand for."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from panelwear.readings.corrections import replaced_by, replaces
from panelwear.readings.row import Row
from panelwear.readings.table import UNUSABLE_FLAGS
from panelwear.run.orders import AsideError, PromptOrders, corrects
from panelwear.run.rows import RowDraft, colour_of, flags_text
from panelwear.run.state import RunState
from panelwear.screen.bench import Bench
from panelwear.screen.waiting import happened
from probe_io.reading import Reading
from sequences.model import PutProbe, Read, Step

TYPED_IN = "typed-in"


class ReadAgainError(Exception):
    """A step is to begin anew; what it read stays stored, and is replaced."""

    def __init__(self, step: Read, rows: tuple[int, ...]) -> None:
        super().__init__(step.patch.key)
        self.rows = rows
        self.told = (
            f"{step.patch.key} is read again; its readings so far stay stored, and the new ones take their place"
        )


def read_rows(state: RunState, step: Read) -> tuple[int, ...]:
    """Return the numbers of a step's own rows that count."""
    return tuple(row.row for row in state.rows if row.step == step.number and _counts(row, step))


def _counts(row: Row, step: Read) -> bool:
    spoilt = set(row.flags.split()) & set(UNUSABLE_FLAGS)
    return row.patch == step.patch.key and row.purpose == step.patch.purpose and not spoilt and row.Y_cd_m2 is not None


def last_read(state: RunState, step: Step | None) -> Read | None:
    """Return the last step that was read before this one, with the probe still where it was; else ``None``."""
    if not isinstance(step, Read):
        return None
    for earlier in reversed([one for one in state.every_step or state.steps if one.number < step.number]):
        if isinstance(earlier, PutProbe) or (isinstance(earlier, Read) and earlier.visit != step.visit):
            return None
        if isinstance(earlier, Read) and read_rows(state, earlier):
            return earlier
    return None


def replacing(draft: RowDraft, step: Step, state: RunState) -> RowDraft:
    """Give the first good reading of a step that is read again the flag that says what it replaces."""
    if not state.replacing or not isinstance(step, Read) or draft.reading.Y_cd_m2 is None:
        return draft
    own = draft.patch.key == step.patch.key and (draft.purpose or draft.patch.purpose) == step.patch.purpose
    if not own or set(draft.flags) & set(UNUSABLE_FLAGS) or set(draft.reading.flags) & set(UNUSABLE_FLAGS):
        return draft
    flag, state.replacing = replaces(state.replacing), ()
    return replace(draft, flags=(*draft.flags, flag))


def corrected_by_typing(bench: Bench, state: RunState, step: Step | None, next_row: int) -> Row | None:
    """Have the last typed reading typed again; ``None`` where there is none, or it is left as it was.

    Args:
        bench: The person, and the probe that asks for what is typed.
        state: The session.
        step: What is read now.
        next_row: Number of the new row.
    """
    last = state.rows[-1] if state.rows else None
    visit = step.visit if isinstance(step, Read | PutProbe) else state.visit
    if last is None or bench.probe is None or TYPED_IN not in last.flags.split() or last.visit != visit:
        bench.operator.tell("there is no reading at this place yet that could be corrected")
        return None
    awaited = bench.awaited
    awaited.at_px = None if state.place is None else state.place.at_px
    awaited.watch, awaited.corrects = PromptOrders(("correct",)), corrects
    awaited.count, awaited.so_far_cd_m2 = "", last.Y_cd_m2
    awaited.before = (
        f"Instead of {last.Y_cd_m2:g} cd/m² (row {last.row}, {last.patch}; Backspace or 'back' leaves it): "
    )
    try:
        reading = bench.probe.measure(None, lambda: _pump(bench))
    except AsideError:
        reading = None
    finally:
        awaited.at_px, awaited.watch, awaited.corrects, awaited.before = None, None, None, ""
    if reading is None or reading.Y_cd_m2 is None:
        bench.operator.tell(f"row {last.row} is left as it was")
        return None
    bench.operator.tell(f"row {last.row} stays stored; {reading.Y_cd_m2:g} cd/m² takes its place")
    return _corrected(last, reading, next_row, state.probe_settings.floor_cd_m2)


def _pump(bench: Bench) -> None:
    happened(bench.screen)


def _corrected(last: Row, reading: Reading, number: int, floor_cd_m2: float) -> Row:
    """Make the row of a corrected reading: all of the old one's but its numbers, for it is the light of that moment."""
    low = reading.Y_cd_m2 is not None and floor_cd_m2 > 0 and reading.Y_cd_m2 < floor_cd_m2
    kept = [flag for flag in last.flags.split() if flag not in {"ok", "low-light"} and flag not in _own(last)]
    flags = (*kept, *(("low-light",) if low else ()), replaces((last.row,)))
    colour: dict[str, Any] = colour_of(reading, floor_cd_m2)
    return replace(
        last,
        row=number,
        X_cd_m2=reading.X_cd_m2,
        Y_cd_m2=reading.Y_cd_m2,
        Z_cd_m2=reading.Z_cd_m2,
        **colour,
        flags=flags_text(flags),
        note="; ".join(part for part in (last.note, f"typed again in the place of row {last.row}") if part),
    )


def _own(row: Row) -> set[str]:
    """Return the flags of a row that say what it replaces itself: those rows stay replaced by it."""
    return {flag for flag in row.flags.split() if replaced_by(flag)}
