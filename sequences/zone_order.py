"""In which order zones are read: the shortest way of the hand, as far as drift still cancels for every zone.

Each zone stays zone, reference, reference, zone with nothing between, and a nest stays mirrored: linear drift cancels
in each by itself (NIST/SEMATECH e-Handbook of Statistical Methods, 2.3.3.1.2), whatever comes before or after it. So
whole blocks, and the zones inside a nest, may change places, single visits may not. The order follows from panel and
sequence alone: it is the same at every checkpoint until zones change.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence

from sequences.model import Place
from sequences.places import at_mm, short_way, way_length
from sequences.zones import ZoneQuadruple

MOST_TRIED = 6
"""Zones of a nest up to which every order is tried (720 of them)."""
Block = tuple[ZoneQuadruple, ...]
"""Zones that are read as one: a nest, or one alone."""


def blocks_of(quadruples: Iterable[ZoneQuadruple]) -> tuple[Block, ...]:
    """Part zones into blocks as they stand, nests last."""
    alone: list[Block] = []
    nests: dict[str, Block] = {}
    for quadruple in quadruples:
        if quadruple.nested and not quadruple.in_place:
            nests[quadruple.reference] = (*nests.get(quadruple.reference, ()), quadruple)
        else:
            alone.append((quadruple,))
    return (*alone, *nests.values())


def ordered(blocks: Sequence[Block], here: Place, pitch_mm: tuple[float, float]) -> tuple[Block, ...]:
    """Put blocks, and the zones of each nest, in an order of short ways; never a longer one than they stand in.

    Args:
        blocks: As ``blocks_of`` gives them.
        here: Where the probe sits before the first.
        pitch_mm: Of a pixel, across and down.
    """
    turned = tuple(_nest_ordered(block, here, pitch_mm) for block in blocks)
    left = list(turned)
    found: list[Block] = []
    for place in short_way([here, *(_places(block)[0] for block in turned)], pitch_mm)[1:]:
        block = next(one for one in left if _places(one)[0] == place)
        left.remove(block)
        found.append(block)
    tried = (tuple(blocks), turned, tuple(found))
    return min(tried, key=lambda order: round(_length([here, *itertools.chain(*map(_places, order))], pitch_mm), 6))


def _nest_ordered(block: Block, here: Place, pitch_mm: tuple[float, float]) -> Block:
    """Find the shortest way to a nest, through it to its reference and back; of many zones a short one."""
    if len(block) <= MOST_TRIED:
        return min(
            itertools.permutations(block), key=lambda order: round(_length([here, *_places(order)], pitch_mm), 6)
        )
    by_place = {quadruple.seats[0]: quadruple for quadruple in block}
    way = short_way([block[0].seats[1], *by_place], pitch_mm)[:0:-1]
    return tuple(by_place[place] for place in way)


def _places(block: Block) -> tuple[Place, ...]:
    """Return where the probe is put for a block, in order."""
    if len(block) == 1:
        return block[0].seats
    there = tuple(quadruple.seats[0] for quadruple in block)
    return (*there, block[0].seats[1], *there[::-1])


def _length(way: Sequence[Place], pitch_mm: tuple[float, float]) -> float:
    return way_length(at_mm(place, pitch_mm) for place in way)
