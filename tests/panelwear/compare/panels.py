"""Checkpoints made by hand for comparisons: a panel with three primaries and two zones, whatever it has kept."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from panelwear.colorimetry.basic import xy_of
from panelwear.colorimetry.primaries import channel_luminances, chromaticity_columns
from panelwear.compare.differences import compare_circumstances
from panelwear.compare.pairing import Pairing, pair
from panelwear.figures.circumstances import Circumstances
from panelwear.figures.evidence import Evidence, evidence_of, put_together
from panelwear.figures.probe_spread import with_step
from panelwear.figures.record_facts import RecordFacts
from panelwear.readings.table import ReadingTable
from panelwear.uncertainty.meter import MeterTerms
from patterns.frame import Rect
from sequences.model import PanelFacts, Zone
from tests.panelwear.figures.handmade import Bench

NOTHING = MeterTerms(session_scale=0, session_xy=0, session_filters=0, placement=0, dark_noise_cd_m2=0)
BT709 = ((0.64, 0.33), (0.30, 0.60), (0.15, 0.06))
D65 = (0.3127, 0.3290)
PEAK = 300.0
BLACK = 0.05
HUES = ("red", "green", "blue")
SAME = compare_circumstances(Circumstances(probe="P"), Circumstances(probe="P"))

ZONES = (
    Zone("chart", Rect(0, 0, 1000, 500), (500, 250), ""),
    Zone("list", Rect(0, 0, 200, 500), (100, 250), "chart"),
    Zone("badge", Rect(850, 20, 100, 50), (900, 45), "chart"),
)
FACTS = PanelFacts(1000, 500, (500.0, 250.0), zones=ZONES)


def light_of(kept: tuple[float, float, float] = (1, 1, 1), primaries=BT709):
    """Return X, Y, Z of red, green, blue and white of a panel whose channels kept these shares; channels add."""
    white = np.array([D65[0] / D65[1], 1, (1 - sum(D65)) / D65[1]]) * PEAK
    Y = channel_luminances(primaries, white) * np.array(kept)
    channels = (chromaticity_columns(primaries) * Y).T
    return [*channels, channels.sum(axis=0)]


def read_centre(
    bench: Bench, kept=(1.0, 1.0, 1.0), scale: float = 1.0, white_scale: float = 1.0, black: float = BLACK
) -> None:
    """Read reference, black, red, green, blue, white and a short ramp at the centre in one placement.

    What black shows stands under every colour too, as on a panel that leaks or throws the room's light back.
    """
    under = np.array([D65[0] / D65[1], 1, (1 - sum(D65)) / D65[1]]) * black
    bench.put()
    lights = light_of(kept)
    W = lights[3][1] * white_scale
    bench.read("reference/centre/grey/c128/w10", "reference", 0.22 * W * scale)
    bench.read("field/centre/grey/c0/full", "black", black * scale, n=8)
    for hue, XYZ in zip((*HUES, "grey"), lights, strict=True):
        extra = white_scale if hue == "grey" else 1.0
        lit = XYZ * extra + under
        bench.read(f"primary/centre/{hue}/c255/w10", "primary", lit[1] * scale, tuple(xy_of(lit)))
    for code in (64, 128, 192):
        bench.read(f"ramp/centre/grey/c{code}/w10", "ramp", (code / 255) ** 2.2 * W * scale, tuple(xy_of(lights[3])))
    bench.read("reference/centre/grey/c128/w10", "reference", 0.22 * W * scale)


def read_zones(
    bench: Bench, contrasts: Mapping[str, float], codes=(64, 128, 192), backplane: float = 0.0, scale: float = 1.0
) -> None:
    """Read zones as Z R R Z; contrast C, plus ``backplane`` at 100 cd/m² growing as L^(-1/2)."""
    for zone, C in contrasts.items():
        for position, place in enumerate((zone, "chart", "chart", zone), start=1):
            bench.put()
            for code in codes:
                L = PEAK * (code / 255) ** 2.2 * scale
                own = L * (1 + C + backplane * (100 / L) ** 0.5) if place == zone else L
                bench.read(f"zone/{place}/grey/c{code}/full", "zone", own, pair=f"{zone}.{position}")


def read(kept=(1.0, 1.0, 1.0), zones: Mapping[str, float] | None = None, seed: int = 1, **more) -> ReadingTable:
    """Read a whole checkpoint."""
    noise = {k: more.pop(k) for k in ("noise", "dark_noise", "placement", "drift") if k in more}
    backplane = more.pop("backplane", 0.0)
    bench = Bench(seed, **noise)
    read_centre(bench, kept, **more)
    read_zones(bench, zones or {}, backplane=backplane, scale=more.get("scale", 1.0))
    return bench.table()


def pairing_of(before: ReadingTable, after: ReadingTable, meter: MeterTerms = NOTHING) -> Pairing:
    """Pair two tables."""
    return pair(evidence_of(before, meter), evidence_of(after, meter))


def subject(table: ReadingTable, name: str, hours: float, meter: MeterTerms = NOTHING, **facts) -> Evidence:
    """Make a checkpoint of a table."""
    more = {k: facts.pop(k) for k in ("marks", "matches", "fillings") if k in facts}
    record = RecordFacts(circumstances=Circumstances(name=name, hours=hours, **{"probe": "P", **facts}), **more)
    return evidence_of(table, with_step(meter, table), record=record)


def with_facts(evidence: Evidence, **facts) -> Evidence:
    """Change what is known of a checkpoint besides its readings."""
    return replace(evidence, record=replace(evidence.record, **facts))


def ready(*checkpoints: Evidence) -> tuple[Evidence, ...]:
    """Put checkpoints together."""
    return put_together(checkpoints)
