"""Where nothing can be compared yet: what the baseline, or the eye alone, says of the panel."""

from __future__ import annotations

import math

from panelwear.report import by_photographs
from panelwear.report.content import BigNumber, Told
from panelwear.report.formatting import minus, parted, signed, told
from panelwear.report.inputs import Inputs
from panelwear.telling.words import counted, with_capital
from panelwear.uncertainty.estimate import Estimate

NOW = "as it is now"


def numbers(inputs: Inputs) -> tuple[BigNumber, ...]:
    """Return the large numbers of the first screen: what is known, and of the rest that it is not."""
    if not inputs.inspected:
        return (*(_by_eye(inputs) if _looked(inputs) else ()), *by_photographs.numbers(inputs))
    figures = inputs.last.figures
    zone = _standing_out(inputs)
    name = f"Zone that stands out most: {zone[0]}" if zone is not None else "Zones"
    u, v = (figures.get(f"white.{part}") for part in ("u_prime", "v_prime"))
    place = f"u' {told(u)}, v' {told(v)}" if u is not None and v is not None else ""
    return (
        BigNumber("White luminance", _now(figures.get("white.Y"))),
        BigNumber("White point, CCT", _now(figures.get("white.cct")), beside=place),
        BigNumber(name, _now(zone[1] if zone is not None else None, is_step=True), beside="against its reference"),
        BigNumber("Most worn channel", Told(NOW, "not known yet", verdict="the next checkpoint tells")),
    )


def _looked(inputs: Inputs) -> bool:
    return any(one.record.marks or one.record.matches for one in inputs.checkpoints)


def _now(estimate: Estimate | None, *, is_step: bool = False) -> Told:
    if estimate is None or not math.isfinite(estimate.value):
        return Told(NOW, "not read")
    return Told(NOW, *parted((signed if is_step else told)(estimate)))


def _by_eye(inputs: Inputs) -> tuple[BigNumber, ...]:
    last = inputs.checkpoints[-1]
    when = f"at {last.circumstances.use.words}"
    marks = last.record.marks
    kinds = ", ".join(dict.fromkeys(mark.kind for mark in marks))
    found = [BigNumber("Marks by eye", Told(when, str(len(marks)), verdict=kinds))]
    matches = [m for m in last.record.matches if m.contrast_percent is not None]
    if matches:
        most = max(matches, key=lambda m: abs(m.contrast_percent or 0.0))
        value = minus(f"{most.contrast_percent:+.2f} %")
        found.append(
            BigNumber(f"Largest contrast by eye: {most.zone}", Told(when, value, verdict=str(most.word or "")))
        )
    return tuple(found)


def _standing_out(inputs: Inputs) -> tuple[str, Estimate] | None:
    """Return the zone that stands out most and its contrast, the one the outline shows; else of all greys read."""
    alone = inputs.comparison.zones_alone if inputs.comparison is not None else ()
    found = {zone.zone: zone.now for zone in alone}
    if not found:
        for name, e in inputs.last.figures.items():
            kind, _, rest = name.partition("/")
            if kind == "zone" and name.endswith(".contrast") and "/grey/" in name:
                zone = rest.partition("/")[0]
                found[zone] = max(found.get(zone, e), e, key=lambda one: abs(one.value))
    return max(found.items(), key=lambda item: abs(item[1].value), default=None)


def sentences(inputs: Inputs) -> tuple[str, ...]:
    """Say what one checkpoint can say."""
    if not inputs.inspected and not _looked(inputs):
        return by_photographs.sentences(inputs)
    if not inputs.inspected:
        seen = sum(len(s.record.marks) for s in inputs.checkpoints)
        return (
            f"Nothing was read with a probe yet; the eye left {counted(seen, 'mark')}.",
            "The outline shows the newest marks; matches, where any were made, stand below."
            if seen
            else "What was measured by matching stands below.",
            "Luminance, white point and zones need readings: 'panelwear inspect' takes them.",
        )
    one = inputs.last
    return (_light(inputs), _evenness(inputs), f"Nothing can be said of change yet: {_why(inputs, one.said)}")


def _why(inputs: Inputs, said: str) -> str:
    if len(inputs.inspected) == 1:
        return f"this is the only checkpoint with readings ({said}), and the next one will be compared with it."
    return "the figures of the checkpoints do not pair."


def _light(inputs: Inputs) -> str:
    figures = inputs.last.figures
    parts = []
    if "peak" in figures:
        parts.append(f"Peak luminance is {told(figures['peak'])}")
    if "white.cct" in figures and "white.duv" in figures:
        white = ", ".join(f"{n} {told(figures[f'white.{p}'])}" for n, p in (("u'", "u_prime"), ("v'", "v_prime")))
        parts.append(f"white stands at {white} (CCT {told(figures['white.cct'])}, Duv {told(figures['white.duv'])})")
    if not parts:
        return "White was not read at this checkpoint."
    return f"{with_capital(', and '.join(parts))}; ± at 95 %."


def _evenness(inputs: Inputs) -> str:
    figures = inputs.last.figures
    found = _standing_out(inputs)
    if found is not None:
        zone, most = found
        return (
            f"The zone that stands out most from its reference is {zone} with {signed(most)}, what it had from the "
            "factory included."
        )
    spread = next((e for n, e in figures.items() if n.endswith(".min_over_max")), None)
    if spread is not None:
        return f"Over the grid the darkest point has {told(spread)} of the brightest."
    return "Neither zones nor a grid were read, so its evenness is not known."
