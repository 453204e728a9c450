"""Which photograph is which shot: by order, by what it looks like, by how bright it is; never by its name alone."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from panelwear.camera.photographs.looks import Look
from panelwear.camera.shots import Shot

OTHER_KIND = 20.0
OTHER_CHANNEL = 15.0
SURE_BELOW = 8.0
"""A photograph that fits its shot worse is told as unclear, and nothing is read until a person said what it is."""
LEFT_OUT = 4.0
"""What a shot without a photograph costs."""
EACH_MISSING = 0.1
"""What a frame more or fewer than were asked for costs."""
BRIGHTNESS_SIGMA = 0.25
"""Natural logarithm: by so much a field's light strays from what its drive levels and exposure say."""
WORST_BRIGHTNESS = 12.0


@dataclass(frozen=True, slots=True)
class Matched:
    """One photograph and the shot it is taken for."""

    number: int
    """Of the photograph, in the order they were given."""
    shot: str | None
    """``None``: it is of none."""
    why: str
    """``order``, or ``said`` by a person."""
    cost: float = 0.0

    @property
    def is_sure(self) -> bool:
        """Whether it looks like what it is taken for."""
        return self.cost < SURE_BELOW


def matched(
    looks: Sequence[Look], order: Sequence[int], shots: Sequence[Shot], frames: Mapping[str, int],
    said: Mapping[int, str | None],
) -> tuple[Matched, ...]:  # fmt: skip
    """Find which shot each photograph is of.

    Photographs stand in the order they were taken, shots in theirs, and no photograph of a later shot comes before one
    of an earlier; so the cheapest way to cut the row of photographs into shots is looked for (dynamic programming).
    Brightness is compared in a second round, when the first has told how bright the panel is in these units.

    Args:
        looks: what each photograph seems to be.
        order: their numbers by time.
        shots: the shots in their order.
        frames: how many photographs of each shot were asked for.
        said: what a person said of some of them.
    """
    free = [n for n in order if n not in said]
    scales: dict[str, float] = {}
    ends: list[int] = []
    for _ in range(2):
        costs = np.array([[_cost(looks[n], shot, scales) for n in free] for shot in shots]).reshape(len(shots), -1)
        ends = _cut(costs, [frames.get(shot.name, 1) for shot in shots])
        scales = _scales(looks, free, shots, ends)
    costs = np.array([[_cost(looks[n], shot, scales) for n in free] for shot in shots]).reshape(len(shots), -1)
    found = {n: Matched(n, shot, "said") for n, shot in said.items()}
    unclear = _alone(shots, ends, {shot for shot in said.values() if shot is not None})
    unclear |= _uncounted(shots, ends, [looks[n] for n in free], frames)
    start = 0
    for number, (shot, end) in enumerate(zip(shots, ends, strict=True)):
        for place in range(start, end):
            cost = max(float(costs[number, place]), SURE_BELOW if shot.name in unclear else 0.0)
            found[free[place]] = Matched(free[place], shot.name, "order", cost)
        start = end
    return tuple(found[n] for n in range(len(looks)))


def misfit(found: Sequence[Matched], shots: Sequence[Shot]) -> float:
    """Return how badly photographs fit their shots, to be held against another way to look at them."""
    there = {one.shot for one in found}
    return sum(one.cost for one in found) + LEFT_OUT * sum(shot.name not in there for shot in shots)


def _cut(costs: np.ndarray[tuple[int, int], np.dtype[np.float64]], wanted: Sequence[int]) -> list[int]:
    """Return where each shot's photographs end."""
    shots, count = costs.shape
    best = np.full((shots + 1, count + 1), np.inf)
    came = np.zeros((shots + 1, count + 1), dtype=int)
    best[0, 0] = 0
    for s in range(shots):
        sums = np.concatenate([[0.0], np.cumsum(costs[s])])
        for end in range(count + 1):
            sizes = end - np.arange(end + 1)
            own = np.where(sizes == 0, LEFT_OUT, EACH_MISSING * np.abs(sizes - wanted[s]))
            totals = best[s, : end + 1] + own + sums[end] - sums[: end + 1]
            came[s + 1, end] = int(np.argmin(totals))
            best[s + 1, end] = totals[came[s + 1, end]]
    ends = [count]
    for s in range(shots, 1, -1):
        ends.append(int(came[s, ends[-1]]))
    return ends[::-1]


def _alone(shots: Sequence[Shot], ends: Sequence[int], said: set[str]) -> set[str]:
    """Name fields that stand alone where the list has several of their colour: which of them it is, nothing tells."""
    sizes = np.diff([0, *ends])
    found = set()
    for shot, size in zip(shots, sizes, strict=True):
        alike = [n for n, one in enumerate(shots) if _group(one) == _group(shot)]
        there = [n for n in alike if sizes[n] or shots[n].name in said]
        if shot.kind == "field" and size and len(alike) > 1 and len(there) == 1:
            found.add(shot.name)
    return found


def _uncounted(
    shots: Sequence[Shot], ends: Sequence[int], looks: Sequence[Look], frames: Mapping[str, int]
) -> set[str]:  # fmt: skip
    """Name fields that only counting tells from others of their colour, where the count is not what was asked for."""
    starts = [0, *ends[:-1]]
    found: set[str] = set()
    for group in {_group(shot) for shot in shots if shot.kind == "field"}:
        own = [n for n, shot in enumerate(shots) if _group(shot) == group and ends[n] > starts[n]]
        is_dim = any(looks[place].brightness is None for n in own for place in range(starts[n], ends[n]))
        if len(own) > 1 and is_dim and any(ends[n] - starts[n] != frames.get(shots[n].name, 1) for n in own):
            found |= {shots[n].name for n in own}
    return found


def _group(shot: Shot) -> tuple[str, str, int]:
    return shot.kind, shot.channel, shot.pose


def _cost(look: Look, shot: Shot, scales: Mapping[str, float]) -> float:
    if look.kind is None:
        return OTHER_KIND / 2
    if look.kind != shot.kind:
        return OTHER_KIND
    if shot.kind != "field":
        return 0.0
    if look.channel not in {shot.channel, None}:
        return OTHER_CHANNEL
    wanted = _light(shot)
    if wanted is None or look.brightness is None or shot.channel not in scales or look.brightness <= 0:
        return 0.0
    off = math.log(look.brightness / wanted) - scales[shot.channel]
    return min(WORST_BRIGHTNESS, (off / BRIGHTNESS_SIGMA) ** 2)


def _light(shot: Shot) -> float | None:
    """Return the light of a field: as it was wanted, else by the usual curve of displays from its drive levels."""
    if shot.target_cd_m2:
        return shot.target_cd_m2
    code = max(shot.codes)
    return (code / 255) ** 2.2 if code > 0 else None


def _scales(looks: Sequence[Look], free: Sequence[int], shots: Sequence[Shot], ends: Sequence[int]) -> dict[str, float]:
    """Return, by channel, the logarithm of a photograph's numbers for each unit of a field's light."""
    logs: dict[str, list[float]] = {}
    start = 0
    for shot, end in zip(shots, ends, strict=True):
        light = _light(shot) if shot.kind == "field" else None
        for place in range(start, end):
            look = looks[free[place]]
            if light and look.kind == "field" and look.channel in {shot.channel, None} and look.brightness:
                logs.setdefault(shot.channel, []).append(math.log(look.brightness / light))
        start = end
    return {channel: float(np.median(found)) for channel, found in logs.items() if len(found) > 1}


def in_order(looks: Sequence[Look], names: Sequence[str]) -> list[int]:
    """Return the photographs' numbers by the time they were taken, else by name with numbers in it counted."""
    import re

    parts = [[(0, int(p), "") if p.isdigit() else (1, 0, p) for p in re.split(r"(\d+)", name) if p] for name in names]
    moments = [look.taken.at for look in looks]
    if all(moment is not None for moment in moments):
        return sorted(range(len(looks)), key=lambda n: (moments[n], parts[n]))
    return sorted(range(len(looks)), key=lambda n: parts[n])
