"""Zones that both checkpoints were to read, but of which placements are missing: none leaves without a word."""

from __future__ import annotations

from collections.abc import Iterator

from panelwear.compare.pairing import Pairing
from panelwear.figures.evidence import Evidence
from panelwear.figures.pick import level_words
from panelwear.figures.quadruples import Uneven, quadruples, uneven
from panelwear.telling.words import counted


def lost_placements(evidence: Evidence) -> dict[str, str]:
    """Say of each zone of one checkpoint that lost placements why nothing is made of it, or of some of its colours."""
    return {one.zone: _sentence(evidence.name, one) for one in uneven(evidence)}


def lost_between(before: Evidence, after: Evidence, pairing: Pairing) -> dict[str, str]:
    """Say the same of two checkpoints, and which zones were read in other numbers of placements."""
    found = dict(_other_numbers(pairing))
    for evidence in (before, after):
        for zone, sentence in lost_placements(evidence).items():
            found[zone] = f"{found[zone]} {sentence}" if zone in found else sentence
    return found


def zones_read(evidence: Evidence) -> frozenset[str]:
    """Return every zone a checkpoint read in any way."""
    quadruples(evidence)
    return frozenset(zone for zone, _, _ in evidence.zone_means)


def _sentence(name: str, one: Uneven) -> str:
    return (
        f"{_what(one.zone, one.colours, one.whole)} compared: at {name} {_count(one.own)} on the zone and "
        f"{_count(one.other)} on its reference hold usable readings, and as many of each are needed."
    )


def _other_numbers(pairing: Pairing) -> Iterator[tuple[str, str]]:
    then, now = quadruples(pairing.before), quadruples(pairing.after)
    for zone, listed in now.items():
        earlier = {q.key: q for q in then.get(zone, ())}
        known = [q for q in listed if q.key in earlier]
        other = [q for q in known if len(q.own) != len(earlier[q.key].own)]
        if other:
            colours = tuple(f"{q.hue} at {level_words(q.level)}" for q in other)
            was, now_is = (2 * len(q.own) for q in (earlier[other[0].key], other[0]))
            yield (
                zone,
                f"{_what(zone, colours, len(other) == len(known))} compared: {pairing.before.name} read it in "
                f"{_count(was)}, {pairing.after.name} in {now_is}.",
            )


def _what(zone: str, colours: tuple[str, ...], whole: bool) -> str:
    if whole:
        return f"'{zone}' is not"
    if len(colours) == 1:
        return f"{colours[0]} of '{zone}' is not"
    return f"{len(colours)} colours of '{zone}' (such as {colours[0]}) are not"


def _count(placements: int) -> str:
    return counted(placements, "placement") if placements else "no placements"
