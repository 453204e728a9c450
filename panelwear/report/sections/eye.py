"""What the eye found: marks on the outline, and matches beside the instrument's contrast."""

from __future__ import annotations

from collections.abc import Sequence

from panelwear.figures.evidence import Evidence
from panelwear.readings.marks import Mark
from panelwear.readings.matches import MatchResult
from panelwear.report.content import Area, Drawn, MapChart, Picture, ReportTable, Section, number, text
from panelwear.report.formatting import minus
from panelwear.report.inputs import Inputs
from panelwear.uncertainty.formatting import NONE, rounded


def section(inputs: Inputs) -> Section | None:
    """Return marks and matches, or nothing when nobody looked."""
    looked = [s for s in inputs.checkpoints if s.record.marks or s.record.matches]
    if not looked:
        return None
    picture = marked(inputs)
    pictures = (picture,) if picture is not None else ()
    tables = (_matches(looked),) if any(s.record.matches for s in looked) else ()
    return Section("eye", "By eye", pictures=pictures, tables=(*tables, *_checks(inputs)))


def marked(inputs: Inputs) -> Picture | None:
    """Draw what the eye marked last on the panel's outline, or nothing where nobody marked anything."""
    found = [s for s in inputs.checkpoints if s.record.marks]
    return _marks_picture(inputs, found[-1]) if found else None


def _checks(inputs: Inputs) -> list[ReportTable]:
    """Put each match of the newest checkpoint beside the instrument's contrast."""
    findings = inputs.pairs[0].zones if inputs.pairs else ()
    if not findings and inputs.comparison is not None:
        findings = inputs.comparison.zones_alone
    rows = []
    for finding in findings:
        for c in finding.eye:
            eye = f"{rounded(c.eye, c.half_eye, True)} ± {rounded(c.half_eye, c.half_eye)} %"
            U = c.half_instrument
            probe = f"{rounded(c.instrument, U, True)} ± {rounded(U, U)} %"
            apart = f"{rounded(c.eye - c.instrument, c.half_width, True)} ± {rounded(c.half_width, c.half_width)} %"
            agree = "agree" if c.agrees else "do not agree"
            rows.append((finding.zone, f"{c.hue} {c.eye_cd_m2:.3g} cd/m², {c.method}", eye,
                         f"{probe} ({c.instrument_cd_m2:.3g} cd/m²)", apart,
                         agree))  # fmt: skip
    columns = (text("Zone"), text("Match"), number("By eye"), number("By instrument"), number("Apart"), text("Verdict"))
    note = (
        "As the panel is now. ± at 95 %. The eye compares with the surround at the "
        "zone's edge, the instrument with the reference zone."
    )
    return [ReportTable("Eye and instrument", columns, tuple(rows), note)] if rows else []


def _marks_picture(inputs: Inputs, one: Evidence) -> Picture:
    panel = inputs.panel
    across, down = panel.pitch_mm
    zones = tuple(
        Area(z.name, z.rect.x * across, z.rect.y * down, z.rect.w * across, z.rect.h * down) for z in panel.zones
    )
    drawn = tuple(
        Drawn(str(m.mark), m.shape == "line", m.x0_mm, m.y0_mm, m.x1_mm, m.y1_mm) for m in one.record.marks
    )  # fmt: skip
    c = one.circumstances
    title = f"Marks made at {c.use.words}, {c.date}"
    columns = (number("Mark"), text("Kind"), text("Strength"), text("Seen on"), text("From, to"), text("Zone"),
               text("Note"))  # fmt: skip
    rows = tuple(_mark_row(m) for m in one.record.marks)
    said = "; ".join(f"mark {m.mark}, {m.kind}, {m.strength}, {_where(m)}" for m in one.record.marks)
    alt = f"{title}, on the panel's outline: {said}."
    chart = MapChart(*panel.active_area_mm, "", 1.0, areas=zones, marks=drawn)
    note = "Numbered: what the eye found. Dashed: zones. As seen from the front."
    return Picture("marks", title, alt, chart, ReportTable(title, columns, rows), note)


def _where(mark: Mark) -> str:
    return f"{mark.x0_mm:.0f}, {mark.y0_mm:.0f} mm to {mark.x1_mm:.0f}, {mark.y1_mm:.0f} mm"


def _mark_row(mark: Mark) -> tuple[str, ...]:
    seen = f"{mark.field}" if mark.level_cd_m2 is None else f"{mark.field}, {mark.level_cd_m2:.3g} cd/m²"
    blind = "" if mark.blind else "made while earlier marks were shown"
    note = "; ".join(part for part in (mark.note, blind) if part)
    return (str(mark.mark), mark.kind, mark.strength, seen, _where(mark), mark.zone or NONE, note or NONE)


def _matches(looked: Sequence[Evidence]) -> ReportTable:
    rows = [_match_row(s, n) for s in looked for n in s.record.matches]
    columns = (text("Checkpoint"), text("Zone"), text("Method"), number("Level"), number("Contrast by eye"),
               number("Own threshold"), text("Visibility"), text("Note"))  # fmt: skip
    note = (
        "Contrast: zone against its surround, ± at 95 % from the scatter of the settings alone. Visibility index 1: "
        "just noticed, on a flat field in a dark room, at the stated distance; the model is good to about 30 %."
    )
    return ReportTable("Matches", columns, tuple(rows), note)


def _match_row(one: Evidence, match: MatchResult) -> tuple[str, ...]:
    contrast = NONE
    if match.contrast_percent is not None and match.low_percent is not None and match.high_percent is not None:
        half = (match.high_percent - match.low_percent) / 2
        contrast = minus(f"{match.contrast_percent:+.2f} ± {half:.2f} %")
    own = NONE if match.own_threshold_percent is None else f"{match.own_threshold_percent:.2f} %"
    seen = NONE
    if match.visibility is not None:
        seen = f"{match.word}, {match.visibility:.1f} at {match.distance_mm:.0f} mm"
    method = match.method if match.after_min is None else f"{match.method}, after {match.after_min:g} min"
    level = f"{match.hue} {match.level_cd_m2:.3g} cd/m²"
    return (one.circumstances.use.words, match.zone, method, level, contrast, own, seen, match.note or NONE)
