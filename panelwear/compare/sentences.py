"""The verdict: plain sentences on zones, white and channels, how many figures changed, and how far to trust that."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from panelwear.compare.change_table import JudgedChange
from panelwear.compare.comparison import Pair
from panelwear.compare.formatting import is_too_little
from panelwear.compare.plain_sentences import plain_sentences
from panelwear.figures.flags import COSTS
from panelwear.telling.words import counted, with_capital
from panelwear.uncertainty.formatting import up_to, with_uncertainty
from sequences.model import PanelFacts

SENTENCES = 5
"""So many a comparison of checkpoints has."""
NAMED = 4
"""Most figures one sentence names."""


def verdict_of(pairs: Sequence[Pair], facts: PanelFacts | None = None) -> tuple[str, ...]:
    """Return the verdict of a comparison, ``SENTENCES`` of them; none without pairs.

    Args:
        pairs: since the baseline, then since last time.
        facts: of the panel, for where its zones lie.
    """
    if not pairs:
        return ()
    zones, *others = plain_sentences(pairs, facts)
    # What may be no wear stands with the first sentence: who reads only that one must not be led astray.
    return (" ".join((zones, *pairs[0].suspicions)), *others, _what(pairs[0]), _trust(pairs))


def _what(pair: Pair) -> str:
    tested = [row for row in pair.rows if not row.under]
    changed = changed_of(pair.rows)
    if not tested:
        return "Nothing could be compared: no figure rests on patches both checkpoints read alike."
    if not changed:
        none = f"None of {len(tested)} figures" if len(tested) > 1 else "Not even the one figure that was tested"
        return f"{none} changed beyond the uncertainty; {_bounds(tested)}."
    little = [row for row in changed if is_too_little(row.judged)]
    matters = [row for row in changed if not is_too_little(row.judged)]
    of = f"of {counted(len(tested), 'figure')}"

    def named(rows: Sequence[JudgedChange]) -> str:
        return _listed(rows, lambda row: _told(row, pair.rows))

    if not matters:
        return f"{len(little)} {of} changed, by too little to matter: {named(little)}."
    beside = f"; {len(little)} more by too little to matter: {_captions(little)}" if little else ""
    return f"{len(matters)} {of} changed by an amount that matters: {named(matters)}{beside}."


def _captions(rows: Sequence[JudgedChange]) -> str:
    return _listed(rows, lambda row: row.change.caption)


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
        parts.append(f"Since last time ({last.before.use.words}) changed: {names}")
    if undecided:
        parts.append(f"undecided since the baseline: {_captions(undecided)}")
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
