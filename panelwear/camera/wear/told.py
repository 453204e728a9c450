"""What photographs say, for a person on the terminal and for programs of others."""

from __future__ import annotations

import math
from collections.abc import Sequence

from panelwear.camera.wear.beside import WHY_APART
from panelwear.camera.wear.findings import FOR_SHOWING, PhotographPair, ZoneOnField
from panelwear.camera.wear.regions import Region
from panelwear.compare.formatting import SINCE, verdict
from panelwear.compare.pair_columns import ENDS, ends_of
from panelwear.compare.tables import CsvTable, table
from panelwear.telling.parts import EMPTY, Column, Part, Prose, aside, grid, paragraphs
from panelwear.telling.words import counted, percent
from panelwear.uncertainty.coverage import expanded
from panelwear.uncertainty.estimate import Estimate
from panelwear.uncertainty.formatting import with_uncertainty

TITLE = "Photographs"
NOTE = (
    "A zone's light over that of what lies beside it, later over earlier; the zones are a family of their own (Holm), "
    "each tested over its fields."
)


def head(pair: PhotographPair) -> str:
    """Return a pair's heading."""
    since = "Since the first photographs" if pair.since == "baseline" else SINCE[pair.since]
    invented = "; simulated photographs" if pair.simulated else ""
    return (
        f"{since}: {pair.before.name} ({pair.before.use.words}) to {pair.after.name} ({pair.after.use.words}){invented}"
    )


def said_verdict(one: ZoneOnField) -> str:
    """Return a zone's verdict in words."""
    return verdict(one.judged, "%") if one.judged is not None else FOR_SHOWING


def agreement(one: ZoneOnField) -> str:
    """Return what stands beside it in a few words."""
    words = [f"{b.by}: {'agrees' if b.agrees else 'does not agree'}" for b in one.beside]
    return "; ".join(words) or "nothing beside it"


def apart_sentences(pair: PhotographPair) -> list[str]:
    """Say each disagreement with colorimeter or eye in a sentence, and what may be behind it."""
    said = [f"{one.zone}, {one.field}. {b.sentence}." for one in pair.zones for b in one.beside if not b.agrees]
    return [*said, f"{WHY_APART}."] if said else []


def region_words(region: Region) -> tuple[str, str, str, str]:
    """Return a region's rectangle, the field it was found on, its change there, and where it lies."""
    r = region.rect
    field, change = region.changes[0]
    where = f"in '{region.inside}'" if region.inside else "in no zone"
    return f"{r.x}, {r.y}, {r.w} × {r.h} px", field, with_uncertainty(change, 0.95, signed=True), where


def photograph_parts(pairs: Sequence[PhotographPair], level: float, panel_dir: str = "DIR") -> list[Part]:
    """Return the section "Photographs"; nothing where no maps compare."""
    if not pairs:
        return []
    said: list[Part] = [EMPTY, Prose(TITLE)]
    for pair in pairs:
        said += [Prose(head(pair)), *_zones(pair, level), *_regions(pair, panel_dir)]
        said += paragraphs(*(f"{why}." for why in (*pair.not_compared, *pair.cautions)), indent=2)
    return aside(*said)


def _zones(pair: PhotographPair, level: float) -> list[Part]:
    if not pair.zones:
        why = "no zone has a reference to compare it with" if pair.fields else "no field pairs"
        return [Prose(f"No zone is compared: {why}.", 2)]
    columns = (
        Column("zone"),
        Column("field"),
        Column(f"change ± ({percent(level)})", breaks=False),
        Column("verdict"),
        Column("against", optional=True),
        Column("beside", optional=True),
    )
    rows = [
        (one.zone, one.field, with_uncertainty(one.change, level, signed=True), said_verdict(one), one.against,
         agreement(one))
        for one in pair.zones
    ]  # fmt: skip
    return [grid(columns, rows, 2, "with --csv photo-zones"), *paragraphs(NOTE, *apart_sentences(pair), indent=2)]


def _regions(pair: PhotographPair, panel_dir: str) -> list[Part]:
    if not pair.fields:
        return []
    if not pair.regions:
        return [Prose("No other region changed beyond the noise (false discovery rate 5 %).", 2)]
    count = f"{counted(len(pair.regions), 'region')} changed that no zone names (false discovery rate 5 %)"
    return [
        Prose(f"{count}; 'panelwear camera zones {panel_dir}' tells more and makes zones.", 2),
        region_grid(pair.regions),
    ]


def region_grid(regions: Sequence[Region]) -> Part:
    """Return regions as a table, numbered from 1."""
    columns = (
        Column("number", number=True),
        Column("x, y, size", breaks=False),
        Column("change ± (95 %)", breaks=False),
        Column("field"),
        Column("where"),
        Column("fills", "%", number=True, optional=True),
    )
    rows = []
    for number, region in enumerate(regions, start=1):
        rect, field, change, where = region_words(region)
        rows.append((f"{number}", rect, change, field, where, f"{100 * region.fill:.0f}"))
    return grid(columns, rows, 2, "with --csv photo-regions")


_PAIR = (("since", "", "baseline (the first checkpoint with maps), last or chosen"), *ENDS)


def photograph_tables(pairs: Sequence[PhotographPair], level: float) -> dict[str, CsvTable]:
    """Return every table by name, for ``--csv`` and ``--json``."""
    made = (_zone_table(pairs, level), _beside_table(pairs), _region_table(pairs), _not_compared_table(pairs))
    return {one.name: one for one in made}


def _zone_table(pairs: Sequence[PhotographPair], level: float) -> CsvTable:
    columns = (
        *_PAIR,
        ("zone", "", "name in panel.toml"),
        ("field", "", "what was photographed"),
        ("against", "", "what the zone is compared with"),
        ("change_percent", "%", "ratio of ratios less one since the earlier checkpoint", "u_percent"),
        ("u_percent", "%", "its standard uncertainty", 2),
        ("noise_percent", "%", "part of it from noise of the cells", 2),
        ("slow_percent", "%", "part of it from slow gradients", 2),
        ("half_width_percent", "%", f"half width of the {percent(level)} interval", 2),
        ("contrast_percent", "%", "as it stands; empty where the lens's fall-off is still in it", "contrast_u_percent"),
        ("contrast_u_percent", "%", "its standard uncertainty", 2),
        ("verdict", "", "changed, no change larger than, undecided; empty where no verdict may rest on it"),
        ("bound_percent", "%", "least X for which the interval lies inside ± X", 3),
        ("simulated", "", "whether the photographs were simulated"),
    )
    rows = []
    for pair in pairs:
        for one in pair.zones:
            now, c = one.now, one.change
            rows.append((
                *ends_of(pair), one.zone, one.field, one.against, c.value, c.u, _part(c, "noise"),
                _part(c, "slow gradients"), expanded(c, level), now.value if now else None, now.u if now else None,
                one.judged.verdict if one.judged else "", one.judged.bound if one.judged else None,
                "yes" if pair.simulated else "no",
            ))  # fmt: skip
    return table("photo-zones", "Zones by photographs", columns, rows)


def _part(estimate: Estimate, name: str) -> float:
    return next((c.u for c in estimate.components if c.name == name), math.nan)


def _beside_table(pairs: Sequence[PhotographPair]) -> CsvTable:
    columns = (
        *_PAIR,
        ("zone", "", "name in panel.toml"),
        ("field", "", "what was photographed"),
        ("by", "", "colorimeter or eye"),
        ("what", "", "change since the earlier checkpoint, or contrast as it stands"),
        ("photographs_percent", "%", "by photographs", "photographs_u_percent"),
        ("photographs_u_percent", "%", "its standard uncertainty", 2),
        ("other_percent", "%", "by colorimeter or eye", "other_u_percent"),
        ("other_u_percent", "%", "its standard uncertainty", 2),
        ("other_level", "", "level it was read or judged at"),
        ("half_width_percent", "%", "half width of the 95 % interval of their difference", 2),
        ("agrees", "", "whether the difference lies inside it"),
    )
    rows = [
        (
            *ends_of(pair), one.zone, one.field, b.by, b.what, b.photographs.value, b.photographs.u, b.other.value,
            b.other.u, b.other_level, b.half_width, "yes" if b.agrees else "no",
        )
        for pair in pairs
        for one in pair.zones
        for b in one.beside
    ]  # fmt: skip
    return table("photo-beside", "Photographs beside colorimeter and eye", columns, rows)


def _region_table(pairs: Sequence[PhotographPair]) -> CsvTable:
    columns = (
        *_PAIR,
        ("region", "1", "number, from 1, clearest first"),
        ("x_px", "px", "left edge"),
        ("y_px", "px", "upper edge"),
        ("w_px", "px", "width"),
        ("h_px", "px", "height"),
        ("inside", "", "zone it lies in"),
        ("field", "", "what was photographed"),
        ("found_on", "", "whether it was found on this field"),
        ("change_percent", "%", "against what lies round it, since the earlier checkpoint", "u_percent"),
        ("u_percent", "%", "its standard uncertainty", 2),
        ("q", "1", "false discovery rate at which it would just be found", 2),
        ("fill", "1", "share of the rectangle that stands out by more than half of the change", 2),
    )
    rows = [
        (
            *ends_of(pair), number, r.rect.x, r.rect.y, r.rect.w, r.rect.h, r.inside, field, "yes" if i == 0 else "no",
            change.value, change.u, r.q, r.fill,
        )
        for pair in pairs
        for number, r in enumerate(pair.regions, start=1)
        for i, (field, change) in enumerate(r.changes)
    ]  # fmt: skip
    return table("photo-regions", "Regions that changed and that no zone names", columns, rows)


def _not_compared_table(pairs: Sequence[PhotographPair]) -> CsvTable:
    rows = [(*ends_of(pair), f"{why}.") for pair in pairs for why in pair.not_compared]
    return table("photo-not-compared", "Photographs not comparable", (*_PAIR, ("why", "", "which, and why")), rows)
