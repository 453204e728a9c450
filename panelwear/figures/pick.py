"""Which patches a figure is about."""

from __future__ import annotations

from panelwear.figures.evidence import Evidence
from panelwear.figures.means import Mean

WORKING_GEOMETRY = "w10"
"""A window of 10 % of the area: below any limiter's knee, larger than any aperture (common practice, no source)."""


PREFERENCE = ("white", "loading", "primary", "ramp", "response", "field", "window")
"""Which of several patches of one colour and geometry stands for it, by purpose."""


def preferred(means: list[Mean]) -> list[Mean]:
    """Return patches in the order they may stand for one another; a purpose not known comes last."""
    rank = {purpose: i for i, purpose in enumerate(PREFERENCE)}
    return sorted(means, key=lambda m: rank.get(m.purpose, len(rank)))


def whites(evidence: Evidence) -> list[Mean]:
    """Return every patch that is there to tell the white point: purpose ``white``, brightest code first."""
    found = evidence.select(purpose="white", hue="grey")
    return sorted(found, key=lambda m: (m.code, m.geometry == WORKING_GEOMETRY), reverse=True)


def white(evidence: Evidence) -> Mean | None:
    """Return the patch that stands for white: purpose ``white`` at full drive, else full drive in a window."""
    stated = whites(evidence)
    if stated and stated[0].code == 255:
        return stated[0]
    full = at_full_drive(evidence)
    working = [m for m in full if m.geometry == WORKING_GEOMETRY]
    return next(iter(working or full or stated), None)


def at_full_drive(evidence: Evidence) -> list[Mean]:
    """Return the greys at code 255 at the centre, one for each geometry, in a window or over the whole screen."""
    found: dict[str, Mean] = {}
    for mean in preferred(list(evidence.means)):
        full = mean.place == "centre" and mean.codes == (255.0, 255.0, 255.0)
        if full and (mean.geometry == "full" or mean.geometry.startswith("w")) and mean.purpose in PREFERENCE:
            found.setdefault(mean.geometry, mean)
    return list(found.values())


def black(evidence: Evidence) -> Mean | None:
    """Return the patch that stands for black: at the centre, all channels at 0."""
    found = [m for m in evidence.means if m.codes == (0.0, 0.0, 0.0) and m.place == "centre"]
    stated = [m for m in found if m.purpose == "black"]
    others = [m for m in found if m.purpose in PREFERENCE]
    return next(iter(stated or others), None)


def primary(evidence: Evidence, hue: str) -> Mean | None:
    """Return the patch of a primary at its highest code."""
    found = sorted(evidence.select(purpose="primary", hue=hue), key=lambda m: m.code)
    return found[-1] if found else None


def ramp(evidence: Evidence) -> list[Mean]:
    """Return the grey ramp by drive level at the centre, dark to bright: purpose ``ramp``, else ``response``."""
    stated = _greys(evidence, "ramp")
    by_code = [m for m in stated if m.level.startswith("c")]
    greys = by_code if len(by_code) > 2 else _greys(evidence, "response") or stated
    geometries = [m.geometry for m in greys]
    usual = max(dict.fromkeys(geometries), key=geometries.count) if greys else ""
    one_each = {m.code: m for m in greys if m.geometry == usual}
    return [one_each[code] for code in sorted(one_each)]


def wanted_levels(evidence: Evidence) -> list[Mean]:
    """Return the ramp's greys that were asked for by luminance, share of peak or visible step, dark to bright."""
    return sorted((m for m in _greys(evidence, "ramp") if not m.level.startswith("c")), key=lambda m: m.Y)


def _greys(evidence: Evidence, purpose: str) -> list[Mean]:
    return evidence.select(purpose=purpose, hue="grey", place="centre")


def share_of(mean: Mean) -> float:
    """Return the lit share of the area a geometry stands for, 0..1; the whole screen is 1."""
    return 1.0 if mean.geometry == "full" else mean.lit_share


def words(mean: Mean) -> str:
    """Return a patch's geometry in words: "10 % window", "full field"."""
    if mean.geometry == "full":
        return "full field"
    if mean.geometry.startswith("w"):
        return f"{mean.geometry[1:]} % window"
    return mean.geometry


def level_words(label: str) -> str:
    """Return a level as it stands in a patch key in words: ``c128`` is "drive level 128", ``Y50`` is "50 cd/m²"."""
    kind, number = label[:1], label[1:]
    if kind == "j":
        step, _, of = number.partition("of")
        return f"visible step {int(step)} of {of}"
    said = {"c": "drive level {}", "Y": "{} cd/m²", "p": "{} % of peak"}
    return said[kind].format(number) if kind in said else label
