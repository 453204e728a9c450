"""From a contrast to how visible it is, with the model's own band of uncertainty.

The index is SEMI D31-1102's ("Semu"), ``|C| / (1.97 / S^0.33 + 0.72)`` with contrast in % and area in mm², made for a
mid grey of 50 cd/m² seen from 500 mm in a dark room. It is extended here for other distances (same visual angle), other
luminances (ratio of the GSDF's just noticeable steps), lines narrower than 2 arcmin (D31 itself reports 1.5 to
2 times the contrast) and edges wider than half a degree (Campbell, Johnstone & Ross 1981: there the gradient decides).
The extension is ours; it equals Semu at 500 mm and 48 cd/m².
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from panelwear.byeye.barten import weber_threshold
from panelwear.colorimetry.gsdf import jnd_weber

Word = Literal["invisible", "borderline", "visible", "obvious"]

SEMI_DISTANCE_MM = 500.0
REFERENCE_CD_M2 = 48.0
MODEL_BAND = 0.30
"""Relative half-width of the model's uncertainty."""
NARROW_ARCMIN = 2.0
NARROW_FACTOR = 1.75
SHARP_EDGE_DEG = 0.5
LARGEST_TARGET_MM2 = 5720.0
"""The largest target D31's observers were shown; larger zones extrapolate."""
LEAST_LUMINANCE_CD_M2 = 0.05


@dataclass(frozen=True, slots=True)
class ViewedZone:
    """A zone as it is looked at."""

    width_mm: float
    height_mm: float
    luminance_cd_m2: float
    distance_mm: float = 600.0
    edge_mm: float = 0.0
    """Width of the soft edge."""

    @property
    def area_mm2(self) -> float:
        """Area."""
        return self.width_mm * self.height_mm

    @property
    def narrow_mm(self) -> float:
        """The smaller of width and height."""
        return min(self.width_mm, self.height_mm)


@dataclass(frozen=True, slots=True)
class Visibility:
    """How visible a contrast is, by the index, with the GSDF and Barten's model beside it."""

    index: float
    """``|C| / C_thr``: 1 is just noticed by half of the observers."""
    low: float
    high: float
    """Index with the model's band of 30 % either way (and the contrast's own interval, where given)."""
    word: Word
    threshold_percent: float
    """Contrast in % that is just noticed here, by the index."""
    gsdf_steps: float
    """The contrast in just noticeable steps of the GSDF at this luminance."""
    barten_percent: float
    """Contrast in % below which a grating as fine as the zone (half a period its narrow side) cannot be seen."""
    semu: float
    """SEMI D31's own index: the contrast over the threshold of the zone's area in mm², with nothing scaled."""
    distance_mm: float
    """From which it is looked at."""
    assumptions: str
    """Distance, luminance and viewing conditions, to be printed with every index."""
    notes: tuple[str, ...] = ()

    @property
    def words(self) -> tuple[Word, ...]:
        """The word, or two where the band reaches across a border."""
        return tuple(dict.fromkeys((word_for(self.low), word_for(self.high))))

    @property
    def word_range(self) -> str:
        """The same as one text."""
        return " to ".join(self.words)


def semi_threshold_percent(area_mm2: float) -> float:
    """Return the just noticeable contrast in % of SEMI D31-1102: ``1.97 / S^0.33 + 0.72``."""
    return float(1.97 / area_mm2**0.33 + 0.72)


def degrees(size_mm: float, distance_mm: float) -> float:
    """Return the visual angle in degrees of a size seen face on."""
    return 2 * math.degrees(math.atan(size_mm / 2 / distance_mm))


def word_for(index: float) -> Word:
    """Return the word for an index: below 0.7, to 1.5, to 3, above."""
    if index < 0.7:
        return "invisible"
    if index < 1.5:
        return "borderline"
    return "visible" if index <= 3 else "obvious"


def threshold_percent(seen: ViewedZone) -> float:
    """Return the contrast in % that is just noticed in a zone seen like this."""
    equivalent = seen.area_mm2 * (SEMI_DISTANCE_MM / seen.distance_mm) ** 2
    light = max(seen.luminance_cd_m2, LEAST_LUMINANCE_CD_M2)
    level = float(jnd_weber(light)) / float(jnd_weber(REFERENCE_CD_M2))
    line = NARROW_FACTOR if degrees(seen.narrow_mm, seen.distance_mm) * 60 < NARROW_ARCMIN else 1.0
    ramp = max(1.0, degrees(seen.edge_mm, seen.distance_mm) / SHARP_EDGE_DEG)
    return semi_threshold_percent(equivalent) * level * line * ramp


def visibility(contrast: float, seen: ViewedZone, interval: tuple[float, float] | None = None) -> Visibility:
    """Say how visible a contrast is.

    Args:
        contrast: Weber number of the zone against its surround (0.01 is 1 %).
        seen: size, edge, luminance of the surround and viewing distance.
        interval: the contrast's own 95 % interval; it widens the band.
    """
    threshold = threshold_percent(seen)
    index = abs(contrast) * 100 / threshold
    low, high = _band(contrast, interval, threshold)
    light = max(seen.luminance_cd_m2, LEAST_LUMINANCE_CD_M2)
    # The most visible frequency of a bar is the one whose half period is its width; above 2 c/deg (a bar below a
    # quarter of a degree) that is its own, wider zones show themselves by their edges, at the eye's best frequency.
    frequency = max(0.5 / degrees(seen.narrow_mm, seen.distance_mm), 2.0)
    field = max(1.0, degrees(max(seen.width_mm, seen.height_mm), seen.distance_mm))
    return Visibility(
        index=index,
        low=low,
        high=high,
        word=word_for(index),
        threshold_percent=threshold,
        gsdf_steps=abs(contrast) / float(jnd_weber(light)),
        barten_percent=100 * weber_threshold(frequency, light, field),
        semu=abs(contrast) * 100 / semi_threshold_percent(seen.area_mm2),
        distance_mm=seen.distance_mm,
        assumptions=f"{seen.distance_mm:g} mm away, {seen.luminance_cd_m2:.3g} cd/m², flat grey, dark room",
        notes=_notes(seen),
    )


def _band(contrast: float, interval: tuple[float, float] | None, threshold: float) -> tuple[float, float]:
    ends = (contrast, contrast) if interval is None else interval
    least = 0.0 if min(ends) <= 0 <= max(ends) else min(map(abs, ends))
    return (
        least * 100 / (threshold * (1 + MODEL_BAND)),
        max(map(abs, ends)) * 100 / (threshold * (1 - MODEL_BAND)),
    )


def _notes(seen: ViewedZone) -> tuple[str, ...]:
    notes = []
    if seen.area_mm2 * (SEMI_DISTANCE_MM / seen.distance_mm) ** 2 > LARGEST_TARGET_MM2:
        notes.append("the zone is larger than any the formula was made with")
    if degrees(seen.narrow_mm, seen.distance_mm) * 60 < NARROW_ARCMIN:
        notes.append("the zone is narrower than 2 arcmin; threshold times 1.75")
    if not 40 <= seen.luminance_cd_m2 <= 60:
        notes.append("luminance outside 50 ± 10 cd/m², scaled by the GSDF")
    return tuple(notes)
