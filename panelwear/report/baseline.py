"""Three sentences where nothing can be compared yet: what the baseline says of the panel."""

from __future__ import annotations

from panelwear.report.formatting import told
from panelwear.report.inputs import Inputs


def sentences(inputs: Inputs) -> tuple[str, ...]:
    """Say what one checkpoint can say."""
    if not inputs.inspected:
        seen = sum(len(s.record.marks) for s in inputs.checkpoints)
        return (
            f"Nothing was read with a probe yet; the eye left {seen} mark{'' if seen == 1 else 's'}.",
            "What they say stands below, with what was measured by matching.",
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
    sentence = ", and ".join(parts)
    return f"{sentence[:1].upper()}{sentence[1:]}; ± at 95 %."


def _evenness(inputs: Inputs) -> str:
    figures = inputs.last.figures
    zones = {n: e for n, e in figures.items() if n.startswith("zone/") and n.endswith(".contrast") and "/grey/" in n}
    if zones:
        name, most = max(zones.items(), key=lambda item: abs(item[1].value))
        zone = name.split("/")[1]
        return (
            f"The zone that stands out most from its reference is {zone} with {told(most)}, what it had from the "
            "factory included."
        )
    spread = next((e for n, e in figures.items() if n.endswith(".min_over_max")), None)
    if spread is not None:
        return f"Over the grid the darkest point has {told(spread)} of the brightest."
    return "Neither zones nor a grid were read, so its evenness is not known."
