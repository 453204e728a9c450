"""Three sentences for whoever asks what happened to the panel: the worst zone, white, and the channels.

Each has a subject, a verb, and where the program knows one a comparison with what a person sees: the visibility verdict
of a zone, the luminance step a practised eye tells side by side, the step of white worth knowing of. Nothing is said
that the change table and the findings on zones do not say.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from panelwear.byeye.visibility import Visibility
from panelwear.compare.change_table import JudgedChange
from panelwear.compare.comparison import Pair
from panelwear.compare.formatting import hours
from panelwear.compare.headline import hues_of, row_of, weight_of, worn_channel, zone_name, zone_rows
from panelwear.compare.zones import ZoneFinding
from panelwear.telling.words import counted, with_capital
from panelwear.uncertainty.coverage import expanded
from panelwear.uncertainty.estimate import Estimate
from panelwear.uncertainty.formatting import rounded, up_to, with_uncertainty
from sequences.model import PanelFacts

OTHERS = 3
"""Most zones named beside the worst."""
MOST, FEW = 2 / 3, 1 / 3


def plain_sentences(pairs: Sequence[Pair], facts: PanelFacts | None = None) -> tuple[str, ...]:
    """Return the three sentences of a comparison; none without pairs.

    Args:
        pairs: since the baseline, then since last time.
        facts: of the panel, for where its zones lie.
    """
    if not pairs:
        return ()
    return (zone_sentence(pairs[0], facts), white_sentence(pairs[0]), channel_sentence(pairs))


def zone_sentence(pair: Pair, facts: PanelFacts | None) -> str:
    """Say what the zone did that went furthest, how it stands now, and whether that is seen; then what others did."""
    rows, since = zone_rows(pair), since_of(pair)
    if not rows:
        why = "no zone can be judged" if pair.zones or pair.zones_lost else "no zone was read at both checkpoints"
        return f"{since} {why}, so nothing is known of places that wear faster than others."
    row = rows[0]
    subject, finding = _subject(row, facts), _finding(pair, row)
    if row.judged.why:
        return f"{since} no zone can be judged: {row.judged.why}."
    if row.judged.verdict != "changed":
        none = f"{since} no zone changed against its reference beyond the uncertainty"
        return f"{none}; {_largest(row, subject)}.{_lost(pair)}"
    turned = f"{since} {subject} became {_turned(row.change.step)} relative to {_reference(finding)}{_kind(row)}"
    others = " ".join(_other(pair, other, facts) for other in rows[1 : 1 + OTHERS])
    more = len(rows) - 1 - OTHERS
    left = (f" The tables tell of {counted(more, 'more zone')}." if more > 0 else "") + _lost(pair)
    return f"{turned}{_little(row)}{_stands(pair, row, finding)}. {others}{left}".rstrip()


def _lost(pair: Pair) -> str:
    """Say of how many zones there is no verdict, as too few of their readings can be used."""
    return f" Of {counted(len(pair.zones_lost), 'more zone')} there is no verdict." if pair.zones_lost else ""


def _other(pair: Pair, row: JudgedChange, facts: PanelFacts | None) -> str:
    """Say in a short sentence what a zone did beside the worst."""
    subject, finding, judged = _subject(row, facts), _finding(pair, row), row.judged
    if judged.why:
        return f"Of {subject} nothing can be said: {judged.why}."
    if judged.verdict != "changed":
        possible = f"no change larger than {_bound(row)}"
        return f"{subject}: {possible if judged.verdict == 'no change larger than' else 'undecided'}."
    relative = f" relative to {_reference(finding, short=True)}{_kind(row)}"
    stands = "" if finding is None or _hue_of(row) else _now_other(finding)
    begun = with_capital(subject) if _hue_of(row) else subject
    return f"{begun} became {_turned(row.change.step)}{relative}{_little(row)}{stands}."


def _now_other(finding: ZoneFinding) -> str:
    if finding.seen is None or not math.isfinite(finding.now.value):
        return ""
    return f"; now {_turned(finding.now)}, that is {finding.seen.word_range}"


def _subject(row: JudgedChange, facts: PanelFacts | None) -> str:
    """Name the zone of a line with its place, and the hue where the line is about one."""
    name = zone_name(row)
    where = place_of(name, facts)
    hue = _hue_of(row)
    return (f"{hue} of " if hue else "") + (f"{name} ({where})" if where else name)


def _hue_of(row: JudgedChange) -> str:
    return row.name.split("/")[2] if row.name.startswith("zone-hue/") else ""


def _finding(pair: Pair, row: JudgedChange) -> ZoneFinding | None:
    return next((zone for zone in pair.zones if zone.zone == zone_name(row)), None)


def _kind(row: JudgedChange) -> str:
    """Give a zone's change its name: what stayed dark aged less than its reference and only looks brighter."""
    return " (inverse burn-in)" if row.change.step.value > 0 else " (burn-in)"


def _reference(finding: ZoneFinding | None, *, short: bool = False) -> str:
    if finding is None or not finding.reference:
        return "its reference"
    return f"'{finding.reference}'" if short else f"its reference '{finding.reference}'"


def white_sentence(pair: Pair) -> str:
    """Say what white did, in light and in colour, and whether that is worth knowing."""
    parts = [part for part in (_luminance(row_of(pair, "white.Y")), _colour(pair)) if part]
    return f"{'; '.join(parts)}." if parts else "White was not read alike at both checkpoints."


def channel_sentence(pairs: Sequence[Pair]) -> str:
    """Say which channel wears most, also since last time."""
    row = row_of(pairs[0], "balance")
    if row is None:
        return "Red, green and blue were not read alike at both checkpoints, so which of them wears most is not known."
    if row.judged.why:
        return f"Which of red, green and blue wears most cannot be said: {row.judged.why}."
    if row.judged.verdict == "no change larger than":
        return f"Red, green and blue aged alike: none moved against the others by more than {_bound(row)}."
    step = with_uncertainty(row.change.step, signed=True)
    if row.judged.verdict != "changed":
        return f"Which of red, green and blue wears most is undecided: the largest shift is {step}."
    return _worn(pairs, step)


def _worn(pairs: Sequence[Pair], step: str) -> str:
    worn = worn_channel(pairs[0])
    if worn is None:
        why = "which may be no wear: see the caveats" if pairs[0].suspicions else "but none can be told to wear most"
        return f"The channels moved against each other ({step}), {why}."
    hue, others = hues_of(worn)
    kept = f"it lost {_size(worn.change.step)} more of its light than {others}"
    return f"{with_capital(hue)} wears most: {kept}{_little(worn)}{_since_last(pairs, worn.name)}."


def since_of(pair: Pair) -> str:
    """Say between which hours, to begin a sentence with: "Since the baseline (0 h to 4400 h of use)"."""
    begun = "Since the baseline" if pair.since == "baseline" else f"Since {pair.before.name}"
    return f"{begun} ({pair.before.use.short} to {pair.after.use.short} of use)"


def place_of(zone: str, facts: PanelFacts | None) -> str:
    """Say where on the panel a zone lies, as seen from the front: "on the left", "at the top right"; or nothing."""
    found = next((z for z in facts.zones if z.name == zone), None) if facts is not None else None
    if facts is None or found is None:
        return ""
    r = found.rect
    across = "" if r.w > MOST * facts.width_px else _third((r.x + r.w / 2) / facts.width_px, ("left", "", "right"))
    down = "" if r.h > MOST * facts.height_px else _third((r.y + r.h / 2) / facts.height_px, ("top", "", "bottom"))
    if down:
        return f"at the {down} {across}".rstrip()
    if across:
        return f"on the {across}"
    is_whole = r.w > MOST * facts.width_px and r.h > MOST * facts.height_px
    return "" if is_whole else "in the middle"


def _third(share: float, words: tuple[str, str, str]) -> str:
    return words[0] if share < FEW else words[2] if share > MOST else words[1]


def _turned(step: Estimate) -> str:
    return f"{_size(step)} {'brighter' if step.value > 0 else 'darker'}"


def _size(step: Estimate) -> str:
    return with_uncertainty(replace(step, value=abs(step.value)))


def _bound(row: JudgedChange) -> str:
    return up_to(row.judged.bound, row.change.step.unit)


def _little(row: JudgedChange) -> str:
    return f", too little to matter (under {up_to(row.judged.worth, row.change.step.unit)})" if _is_little(row) else ""


def _is_little(row: JudgedChange) -> bool:
    return weight_of(row) == "little"


def _largest(row: JudgedChange, subject: str) -> str:
    ruled = f", and more than {_bound(row)} is ruled out" if row.judged.verdict == "no change larger than" else ""
    return f"the largest step, of {subject}, is {with_uncertainty(row.change.step, signed=True)}{ruled}"


def _stands(pair: Pair, row: JudgedChange, finding: ZoneFinding | None) -> str:
    """Say how the greys of a zone stood, stand now, and whether that is seen; its colours have no such verdict."""
    if finding is None or _hue_of(row) or not math.isfinite(finding.now.value):
        return ""
    now, U = finding.now, expanded(finding.now)
    stands = f"it is now {_turned(now)}" if abs(now.value) > U else f"it now equals it within {rounded(U, U)} %"
    return f"; {_stood(row.change.before, pair.before.hours)}{stands}{_seen(finding.seen)}"


def _stood(before: Estimate, at_h: float) -> str:
    """Say what was there from the start, where that can be told from nothing."""
    if not math.isfinite(before.value) or abs(before.value) <= expanded(before):
        return ""
    return f"{_turned(before)} at {hours(at_h)} already, "


def _seen(seen: Visibility | None) -> str:
    if seen is None:
        return ""
    return f", and on a flat grey in a dark room, from {seen.distance_mm / 10:g} cm, that is {seen.word_range}"


def _luminance(row: JudgedChange | None) -> str:
    if row is None:
        return ""
    if row.judged.why:
        return f"Whether white lost light cannot be said: {row.judged.why}"
    step, worth = row.change.step, up_to(row.judged.worth, "%")
    if row.judged.verdict == "changed":
        more = _little(row) or f" (side by side, a practised eye begins to see a step at about {worth})"
        return f"White gives {_size(step)} {'more' if step.value > 0 else 'less'} light than before{more}"
    told = with_uncertainty(step, signed=True)
    if row.judged.verdict == "no change larger than":
        return f"White gives the same light as before within {_bound(row)} ({told})"
    return f"Whether white lost light is undecided: {told}, so at 95 % any change is smaller than {_bound(row)}"


def _colour(pair: Pair) -> str:
    row, cct = row_of(pair, "white.uv_prime"), row_of(pair, "white.cct")
    if row is None:
        return ""
    if row.judged.why:
        return f"of its colour nothing can be said: {row.judged.why}"
    step = f"Δu'v' {with_uncertainty(row.change.step)}"
    if row.judged.verdict == "no change larger than":
        return f"its colour moved by no more than Δu'v' {_bound(row)}"
    if row.judged.verdict != "changed":
        return f"whether its colour moved is undecided ({step})"
    return f"it turned {_hue(cct)} by {step}{_little(row)}"


def _hue(cct: JudgedChange | None) -> str:
    if cct is None or cct.judged.verdict != "changed":
        return "another colour"
    warmer = "warmer" if cct.change.step.value < 0 else "cooler"
    return f"{warmer} (CCT {with_uncertainty(cct.change.step, signed=True)})"


def _since_last(pairs: Sequence[Pair], name: str) -> str:
    row = row_of(pairs[1], name) if len(pairs) > 1 else None
    if row is None:
        return ""
    begun = f"; since last time ({pairs[1].before.use.words})"
    if row.judged.verdict == "changed" and row.change.step.value < 0:
        return f"{begun} it fell behind them by {_size(row.change.step)} more"
    if row.judged.verdict == "changed":
        return f"{begun} it came nearer to them by {_size(row.change.step)}"
    if row.judged.verdict == "no change larger than":
        return f"{begun} no change larger than {_bound(row)}"
    return f"{begun} undecided"
