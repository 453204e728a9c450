"""The verdict in three sentences: what changed, what wears, and how far that can be trusted."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from panelwear.compare.change_table import JudgedChange
from panelwear.compare.comparison import Pair
from panelwear.compare.formatting import hours, is_too_little
from panelwear.compare.zones import ZoneFinding
from panelwear.figures.flags import COSTS
from panelwear.telling.words import with_capital
from panelwear.uncertainty.formatting import up_to, with_uncertainty

NAMED = 4
"""Most figures one sentence names."""


def verdict_of(pairs: Sequence[Pair], alone: Sequence[ZoneFinding] = ()) -> tuple[str, ...]:
    """Return the verdict of a comparison; with one checkpoint, what there is to say of its zones."""
    if not pairs:
        first = "There is one checkpoint: nothing can have changed yet."
        return (first, *(s + "." for zone in alone for s in zone.sentences[:1]))
    # What may be no wear stands with the first sentence: who reads only that one must not be led astray.
    first = " ".join((_what(pairs[0]), *pairs[0].suspicions))
    return (first, _wear(pairs[0]), _trust(pairs))


def _what(pair: Pair) -> str:
    begun = "Since the baseline" if pair.since == "baseline" else f"Since {pair.before.name}"
    since = f"{begun} ({hours(pair.before.hours)} to {hours(pair.after.hours)} of use) "
    tested = [row for row in pair.rows if not row.under]
    changed = changed_of(pair.rows)
    if not tested:
        return f"{since}nothing could be compared: no figure rests on patches both checkpoints read alike."
    if not changed:
        none = f"none of {len(tested)} figures" if len(tested) > 1 else "not even the one figure that was tested"
        return f"{since}{none} changed beyond the uncertainty; {_bounds(tested)}."
    which = f"{len(changed)} of {len(tested)} figures" if len(tested) > 1 else "the one figure that was tested"
    return f"{since}{which} changed: {_listed(changed, lambda row: _told(row, pair.rows))}{_little(changed)}."


def _ranked(rows: Sequence[JudgedChange]) -> list[JudgedChange]:
    """Return rows by the size of the step over what matters, largest first; what is too little to matter comes last."""

    def place(row: JudgedChange) -> tuple[bool, float]:
        worth = row.judged.worth
        return (is_too_little(row.judged), -abs(row.change.step.value) / worth if worth > 0 else -math.inf)

    return sorted(rows, key=place)


def _listed(rows: Sequence[JudgedChange], say: Callable[[JudgedChange], str], between: str = "; ") -> str:
    """Name the first rows of a list in order of size, and how many more there are."""
    ranked = _ranked(rows)
    more = f"{between}and {len(ranked) - NAMED} more" if len(ranked) > NAMED else ""
    return between.join(say(row) for row in ranked[:NAMED]) + more


def _little(changed: Sequence[JudgedChange]) -> str:
    few = [row for row in changed if is_too_little(row.judged)]
    if not few:
        return ""
    if len(few) == len(changed):
        return "; too little to matter" if len(few) == 1 else "; all of it too little to matter"
    return f"; of these {_listed(few, lambda row: row.change.caption)} by too little to matter"


def changed_of(rows: Sequence[JudgedChange]) -> list[JudgedChange]:
    """Return what changed of the figures tested together; of a zone whose greys did not, the hue that did."""
    return [found for row in rows if not row.under and (found := _changed(row, rows)) is not None]


def _changed(row: JudgedChange, rows: Sequence[JudgedChange]) -> JudgedChange | None:
    """Return a figure that changed, or of a zone whose greys did not the hue that changed most; else nothing."""
    if row.judged.verdict == "changed":
        return row
    hues = [r for r in rows if r.under == row.name and r.name.startswith("zone-hue/")]
    return max(hues, key=lambda r: abs(r.change.step.value), default=None)


def _told(row: JudgedChange, rows: Sequence[JudgedChange]) -> str:
    if row.name == "white.uv_prime":
        parts = [r.change for r in rows if r.under == row.name]
        with_them = ", ".join(f"{c.caption.partition(', ')[2]} {with_uncertainty(c.step, signed=True)}" for c in parts)
        return f"{row.change.caption} {with_uncertainty(row.change.step)} ({with_them})"
    return f"{row.change.caption} {with_uncertainty(row.change.step, signed=True)}"


def _bounds(rows: Sequence[JudgedChange]) -> str:
    bounded = [row for row in rows if row.judged.verdict == "no change larger than"]
    ruled = _listed(bounded, lambda r: f"{r.change.caption} {up_to(r.judged.bound, r.change.step.unit)}")
    open_ones = len(rows) - len(bounded)
    said = f"changes larger than these are ruled out, each by itself: {ruled}" if ruled else "nothing can be ruled out"
    return said + (f"; {open_ones} {'stays' if open_ones == 1 else 'stay'} undecided" if open_ones else "")


def _wear(pair: Pair) -> str:
    parts = []
    if pair.sub_pixels is not None:
        parts.append(pair.sub_pixels.sentences(pair.verdicts_on_wear())[0])
    changed = [z for z in pair.zones if z.wore]
    judged = [z for z in pair.zones if z.judged is not None and not z.judged.why]
    if changed:
        worst = max(changed, key=lambda z: max(abs(c.step.value) for c in z.wore))
        parts.append(worst.sentences[0])
        if worst.seen is not None:
            parts.append(f"on a flat grey that is now {worst.seen.word_range} from {worst.seen.distance_mm:g} mm away")
    elif judged:
        without = len(pair.zones) - len(judged) + len(pair.zones_lost)
        beside = f" (of {without} more there is no verdict)" if without else ""
        parts.append(f"no zone that was judged wore apart from its reference beyond the uncertainty{beside}")
    elif pair.zones or pair.zones_lost:
        parts.append("on the zones there is no verdict")
    return "; ".join(parts) + "." if parts else "Neither channels nor zones were read at both checkpoints."


def _trust(pairs: Sequence[Pair]) -> str:
    pair = pairs[0]
    undecided = [
        row for row in pair.rows
        if not row.under and row.judged.verdict == "undecided" and _changed(row, pair.rows) is None
    ]  # fmt: skip
    parts = []
    if len(pairs) > 1:
        last = pairs[1]
        now = changed_of(last.rows)
        names = _listed(now, _named) or "nothing beyond the uncertainty"
        parts.append(f"Since last time ({hours(last.before.hours)}) changed: {names}")
    if undecided:
        parts.append(f"undecided since the baseline: {_listed(undecided, lambda r: r.change.caption)}")
    costly = [d for d in pair.how.differences if not (d.minor or d.cost.startswith("none"))]
    if costly:
        flagged = [f"{d.what}: {d.cost}" for d in costly if d.topic in COSTS]
        others = [d.what for d in costly if d.topic not in COSTS]
        more = [f"and {len(others) - 2} more"] if len(others) > 2 else []
        since = " since the baseline" if pair.since == "baseline" else ""
        parts.append(f"caveats{since}: {'; '.join([*flagged, *others[:2], *more])}")
    if pair.not_compared:
        parts.append(f"left out, as the patches differ: {' '.join(pair.not_compared[:2]).rstrip('.')}" + _more(pair))
    if not parts:
        parts.append("Both checkpoints were measured the same way, so these figures compare directly")
    said = "; ".join(parts)
    return f"{with_capital(said)}."


def _more(pair: Pair) -> str:
    more = len(pair.not_compared) - 2
    return f"; and {more} more" if more > 0 else ""


def _named(row: JudgedChange) -> str:
    """Return a figure's name, and that its change is too little to matter where it is."""
    return f"{row.change.caption} (too little to matter)" if is_too_little(row.judged) else row.change.caption
