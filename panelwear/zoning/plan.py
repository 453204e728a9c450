"""The zones as they are drawn: what one step of undo gives back, and what can be done to them."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from panelwear.folder.panel import zone_name_faults
from panelwear.zoning.rects import Size, clamped
from patterns.frame import Rect
from sequences.model import Zone

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Drawn:
    """A zone under the hand."""

    id: int
    """Stays while name and place change; a zone of the file has its number there, from 0."""
    name: str
    rect: Rect
    probe_px: Point | None = None
    """Where the probe is put; ``None``: in the middle, wherever that moves to."""
    reference: int | None = None
    """Id of the zone it is compared with."""

    @property
    def probe_at_px(self) -> Point:
        """Where the probe is put."""
        return self.rect.centre if self.probe_px is None else self.probe_px

    def with_rect(self, rect: Rect) -> Drawn:
        """Return it with another rectangle; a probe's place of its own keeps its share of width and height."""
        if self.probe_px is None:
            return replace(self, rect=rect)
        across = (self.probe_px[0] - self.rect.x) / self.rect.w
        down = (self.probe_px[1] - self.rect.y) / self.rect.h
        if (rect.w, rect.h) == (self.rect.w, self.rect.h):
            at = (self.probe_px[0] + rect.x - self.rect.x, self.probe_px[1] + rect.y - self.rect.y)
        else:
            at = (round(rect.x + across * rect.w, 1), round(rect.y + down * rect.h, 1))
        return replace(self, rect=rect, probe_px=within(at, rect))

    def with_probe(self, at: Point) -> Drawn:
        """Return it with the probe elsewhere, inside the zone; in the middle it stays in the middle."""
        kept = within(at, self.rect)
        return replace(self, probe_px=None if kept == self.rect.centre else kept)


def within(at: Point, rect: Rect) -> Point:
    """Return the point of a rectangle nearest to another one."""
    return (min(max(at[0], rect.x), rect.right), min(max(at[1], rect.y), rect.bottom))


@dataclass(frozen=True, slots=True)
class Plan:
    """All zones, the later ones over the earlier ones, and which is chosen."""

    zones: tuple[Drawn, ...] = ()
    chosen: int | None = None
    """Its id."""

    @property
    def one(self) -> Drawn | None:
        """The zone that is chosen."""
        return self.by_id(self.chosen)

    @property
    def names(self) -> tuple[str, ...]:
        """Names of all zones."""
        return tuple(zone.name for zone in self.zones)

    def by_id(self, wanted: int | None) -> Drawn | None:
        """Find a zone."""
        return next((zone for zone in self.zones if zone.id == wanted), None)

    def at(self) -> int:
        """Say where in the order the chosen zone stands; -1: none is chosen."""
        return next((n for n, zone in enumerate(self.zones) if zone.id == self.chosen), -1)

    def with_one(self, change: Callable[[Drawn], Drawn]) -> Plan:
        """Return it with the chosen zone changed."""
        return replace(self, zones=tuple(change(z) if z.id == self.chosen else z for z in self.zones))


def plan_of(zones: Iterable[Zone]) -> Plan:
    """Take the zones of a panel over."""
    told = tuple(zones)
    number = {zone.name: n for n, zone in enumerate(told)}
    return Plan(
        tuple(
            Drawn(
                n,
                zone.name,
                zone.rect,
                None if zone.probe_at_px == zone.rect.centre else zone.probe_at_px,
                number.get(zone.reference),
            )
            for n, zone in enumerate(told)
        )
    )


def zones_of(plan: Plan) -> tuple[tuple[int, Zone], ...]:
    """Return the zones as ``panel.toml`` has them, each with its id."""
    names = {zone.id: zone.name for zone in plan.zones}
    return tuple(
        (z.id, Zone(z.name, z.rect, z.probe_at_px, "" if z.reference is None else names[z.reference]))
        for z in plan.zones
    )


def added(plan: Plan, rect: Rect, number: int) -> Plan:
    """Add a zone over all others and choose it; where all are compared with one zone, it is too."""
    taken, count = set(plan.names), 1
    while f"zone-{count}" in taken:
        count += 1
    used = {zone.reference for zone in plan.zones} - {None}
    reference = used.pop() if len(used) == 1 else None
    return Plan((*plan.zones, Drawn(number, f"zone-{count}", rect, None, reference)), number)


def removed(plan: Plan) -> Plan:
    """Take the chosen zone away; those that were compared with it are compared with nothing."""
    gone = plan.chosen
    kept = [zone for zone in plan.zones if zone.id != gone]
    return Plan(tuple(replace(z, reference=None) if z.reference == gone else z for z in kept))


def cycled(plan: Plan, by: int) -> Plan:
    """Choose the next zone in order, or the one before."""
    if not plan.zones:
        return plan
    start = plan.at() if plan.chosen is not None else (-1 if by > 0 else 0)
    return replace(plan, chosen=plan.zones[(start + by) % len(plan.zones)].id)


def reordered(plan: Plan, by: int) -> Plan:
    """Move the chosen zone up (over) or down (under) its neighbour in the order."""
    zones, at = list(plan.zones), plan.at()
    if at < 0:
        return plan
    zones.insert(clamped(at + by, 0, len(zones) - 1), zones.pop(at))
    return replace(plan, zones=tuple(zones))


def next_reference(plan: Plan) -> Plan:
    """Compare the chosen zone with the next one in order, after the last with none."""
    one = plan.one
    if one is None:
        return plan
    choices = [None, *(zone.id for zone in plan.zones if zone.id != one.id)]
    chosen = choices[(choices.index(one.reference) + 1) % len(choices)]
    return plan.with_one(lambda zone: replace(zone, reference=chosen))


def reference_of_all(plan: Plan) -> Plan:
    """Compare all other zones with the chosen one, and it with none."""
    if plan.one is None:
        return plan
    return replace(
        plan, zones=tuple(replace(z, reference=None if z.id == plan.chosen else plan.chosen) for z in plan.zones)
    )


def renamed(plan: Plan, name: str) -> Plan:
    """Give the chosen zone another name; those compared with it follow."""
    return plan.with_one(lambda zone: replace(zone, name=name))


def name_fault(plan: Plan, name: str) -> str:
    """Say what is wrong with a name for the chosen zone, by the rules of ``panel.toml``'s reader; empty: nothing."""
    others = [zone.name for zone in plan.zones if zone.id != plan.chosen]
    return next(zone_name_faults(name, others), "")


def over_and_under(plan: Plan, zone: Drawn) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Name the earlier zones it lies over and the later ones that lie over it."""
    at = plan.zones.index(zone)
    meeting = [(n, z) for n, z in enumerate(plan.zones) if n != at and meet(z.rect, zone.rect)]
    return tuple(z.name for n, z in meeting if n < at), tuple(z.name for n, z in meeting if n > at)


def meet(one: Rect, other: Rect) -> bool:
    """Tell whether two rectangles share a pixel."""
    return one.x < other.right and other.x < one.right and one.y < other.bottom and other.y < one.bottom


def topmost(plan: Plan, at: Size, below: int | None = None) -> Drawn | None:
    """Find the uppermost zone at a point; with ``below``, the next one under that, after the lowest the uppermost."""
    there = [z for z in reversed(plan.zones) if z.rect.x <= at[0] < z.rect.right and z.rect.y <= at[1] < z.rect.bottom]
    ids = [zone.id for zone in there]
    if not there:
        return None
    return there[(ids.index(below) + 1) % len(there)] if below in ids else there[0]
