"""What the photographs say: zones beside colorimeter and eye, regions nobody named, checkpoints in a row."""

from __future__ import annotations

from collections.abc import Iterator

from panelwear.camera.showing.sheets import FILM, animated, as_png, film, page_size, row, still
from panelwear.camera.showing.tone import CLIPPED
from panelwear.camera.showing.views import View, brightest, telling
from panelwear.camera.wear.findings import PhotographPair
from panelwear.camera.wear.told import NOTE, agreement, apart_sentences, head, region_words, said_verdict
from panelwear.report.content import (
    Area,
    Drawn,
    MapChart,
    PhotoPicture,
    Picture,
    ReportTable,
    Section,
    number,
    text,
)
from panelwear.report.inputs import Inputs
from panelwear.uncertainty.formatting import NONE, with_uncertainty


def section(inputs: Inputs) -> Section | None:
    """Return the section, or nothing where no checkpoint has maps."""
    if not inputs.views:
        return None
    pairs = inputs.photographs
    lead = [f"{head(pair)}: {', '.join(pair.fields) or 'no field pairs'}." for pair in pairs]
    points = [s for pair in pairs[:1] for s in apart_sentences(pair)]
    points += [f"{why}." for pair in pairs[:1] for why in (*pair.not_compared, *pair.cautions)]
    drawn = outline(inputs)
    pictures = (drawn,) if drawn is not None else ()
    tables = tuple(t for pair in pairs[:1] for t in (_zones(pair), _regions(pair)) if t is not None)
    return Section(
        "photographs", "Photographs", (*lead, *(f"{pair.blind}." for pair in pairs[:1])), pictures=pictures,
        photos=tuple(_photos(inputs.views)), tables=tables, points=tuple(points),
    )  # fmt: skip


def _zones(pair: PhotographPair) -> ReportTable | None:
    if not pair.zones:
        return None
    rows = tuple(
        (one.zone, one.field, with_uncertainty(one.change, 0.95, signed=True), said_verdict(one), one.against,
         with_uncertainty(one.now, 0.95, signed=True) if one.now is not None else NONE, agreement(one))
        for one in pair.zones
    )  # fmt: skip
    columns = (
        text("Zone"), text("Field"), number("Change ± 95 %"), text("Verdict"), text("Against"),
        number("As it stands"), text("Beside"),
    )  # fmt: skip
    return ReportTable("Zones by photographs", columns, rows, f"± at 95 %. {NOTE}")


def _regions(pair: PhotographPair) -> ReportTable | None:
    if not pair.fields:
        return None
    rows = []
    for count, region in enumerate(pair.regions, start=1):
        rect, field, change, where = region_words(region)
        rows.append((f"{count}", rect, change, field, where, f"{100 * region.fill:.0f} %"))
    none = (("none", NONE, NONE, NONE, NONE, NONE),)
    columns = (
        number("Region"), text("Rectangle"), number("Change ± 95 %"), text("Found on"), text("Where"), number("Fills"),
    )  # fmt: skip
    note = (
        "False discovery rate 5 % over all fields. Rectangles are a prior; 'fills': share of the rectangle that stands "
        "out by more than half of its change. 'panelwear camera zones' makes zones of them."
    )
    return ReportTable("Regions that changed and that no zone names", columns, tuple(rows) or none, note)


def outline(inputs: Inputs) -> Picture | None:
    """Draw the regions that photographs found since the first on the panel's outline, or nothing without any."""
    return _outline(inputs, inputs.photographs[0]) if inputs.photographs else None


def _outline(inputs: Inputs, pair: PhotographPair) -> Picture | None:
    """Draw the regions on the panel's outline."""
    if not pair.regions:
        return None
    panel = inputs.panel
    across, down = panel.pitch_mm
    zones = tuple(
        Area(z.name, z.rect.x * across, z.rect.y * down, z.rect.w * across, z.rect.h * down) for z in panel.zones
    )
    marks = tuple(
        Drawn(f"{n}", False, r.x * across, r.y * down, r.right * across, r.bottom * down)
        for n, r in enumerate((region.rect for region in pair.regions), start=1)
    )
    rows = tuple((f"{n}", *region_words(region)[:3]) for n, region in enumerate(pair.regions, start=1))
    title = "Regions that photographs found and no zone names"
    columns = (number("Region"), text("Rectangle"), text("Found on"), number("Change ± 95 %"))
    alt = f"{title}, on the panel's outline: " + "; ".join(f"{r[0]} at {r[1]}, {r[3]}" for r in rows) + "."
    chart = MapChart(*panel.active_area_mm, "", 1.0, areas=zones, marks=marks)
    note = "Numbered: regions found. Dashed: zones. As seen from the front."
    return Picture("photo-regions", title, alt, chart, ReportTable(title, columns, rows), note)


def _photos(views: tuple[View, ...]) -> Iterator[PhotoPicture]:
    """Yield a row of the brightest field of each hue, and one film; all fields stand in ``report --figures``."""
    for view in brightest(views):
        heads = "; ".join(head for head, _ in view.frames)
        alt = f"{view.title}: {heads}."
        yield PhotoPicture(f"photo-{view.key}", view.title, alt, as_png(row(view, page_size(view))), note=view.about)
    told = [view for view in telling(views) if len(view.frames) > 1]
    for view in told[:1]:
        newest = as_png(still(view, len(view.frames) - 1, FILM))
        title = f"Film: {view.title}"
        note = f"{view.about} {CLIPPED} Each checkpoint stands for 2 s and fades into the next in 1.2 s."
        yield PhotoPicture(
            f"film-{view.key}", title, f"{title}, fading from one checkpoint to the next.",
            animated(film(view), "WEBP"), "image/webp", note, newest,
        )  # fmt: skip
