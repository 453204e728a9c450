"""Where nothing was read with a probe: what photographs alone say, and what they cannot."""

from __future__ import annotations

import math
from collections.abc import Iterator

from panelwear.camera.wear.findings import PhotographPair, ZoneOnField
from panelwear.camera.wear.told import head, said_verdict
from panelwear.report.content import BigNumber, Told
from panelwear.report.formatting import parted
from panelwear.report.inputs import Inputs
from panelwear.telling.words import counted
from panelwear.uncertainty.formatting import with_uncertainty

RATIOS = (
    "Photographs give ratios alone: whether the whole panel dimmed, its luminance and its white point need readings, "
    "which 'panelwear inspect' takes."
)


def numbers(inputs: Inputs) -> tuple[BigNumber, ...]:
    """Return the large numbers that photographs give; none without two checkpoints that compare."""
    pair = _pair(inputs)
    if pair is None:
        return ()
    since = f"since {pair.before.use.words}"
    count = str(len(pair.regions))
    found = [BigNumber("Regions that no zone names", Told(since, count, verdict="false discovery rate 5 %"))]
    most = _most(pair)
    if most is not None:
        value = parted(with_uncertainty(most.change, 0.95, signed=True))
        told = Told(since, *value, verdict=said_verdict(most))
        found.insert(0, BigNumber(f"Zone that changed most: {most.zone}", told, beside=most.field))
    return tuple(found)


def sentences(inputs: Inputs) -> tuple[str, ...]:
    """Say that there are photographs alone, what they show of change, and what is missing."""
    count = counted(max(len(view.frames) for view in inputs.views), "checkpoint")
    first = f"Nothing was read with a probe yet; these are photographs alone, of {count}."
    return (first, _of_change(inputs), RATIOS)


def caveats(inputs: Inputs) -> Iterator[str]:
    """Yield what limits them: what does not pair, and what speaks against a map."""
    for pair in inputs.photographs[:1]:
        yield from (f"{why}." for why in (*pair.not_compared, *pair.cautions))


def _of_change(inputs: Inputs) -> str:
    pair = _pair(inputs)
    if pair is None:
        if inputs.photographs:
            return "Nothing can be said of change: no field of the two checkpoints pairs."
        return "Nothing can be said of change yet: the next checkpoint's photographs will be compared with these."
    most = _most(pair)
    zone = "no zone has a reference to be compared with"
    if most is not None:
        change = with_uncertainty(most.change, 0.95, signed=True)
        zone = f"'{most.zone}' changed most of the zones, by {change} on {most.field} ({said_verdict(most)})"
    regions = (
        f"{counted(len(pair.regions), 'region')} changed that no zone names" if pair.regions else "no other region"
    )
    regions += "" if pair.regions else " changed beyond the noise"
    return f"{head(pair)}: {zone}; {regions}; ± at 95 %."


def _pair(inputs: Inputs) -> PhotographPair | None:
    return next((pair for pair in inputs.photographs[:1] if pair.fields), None)


def _most(pair: PhotographPair) -> ZoneOnField | None:
    known = [one for one in pair.zones if math.isfinite(one.change.value)]
    return max(known, key=lambda one: abs(one.change.value), default=None)
