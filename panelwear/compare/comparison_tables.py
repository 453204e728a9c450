"""Every table of a comparison, for ``--csv``, ``--json`` and the report."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from panelwear.compare.change_table import JudgedChange
from panelwear.compare.changes import Change
from panelwear.compare.comparison import Comparison
from panelwear.compare.deciding_table import DECIDING_COLUMNS, deciding_cells
from panelwear.compare.level_fit import LevelFit
from panelwear.compare.pair_columns import PAIR, alone, ends_of
from panelwear.compare.tables import HOURS_BETWEEN, CsvTable, table
from panelwear.compare.zones import ZoneFinding
from panelwear.telling.words import percent
from panelwear.uncertainty.coverage import expanded
from panelwear.uncertainty.meter import ASSUMED

_THEN_AND_NOW = (
    ("then", "row", "value at the earlier checkpoint", "then_u"),
    ("now", "row", "value at the later checkpoint", "now_u"),
    ("then_u", "row", "standard uncertainty of then", 2),
    ("now_u", "row", "standard uncertainty of now", 2),
    ("value_unit", "", "unit of then, now and their uncertainties"),
)


def tables_of(found: Comparison) -> dict[str, CsvTable]:
    """Return every table by name."""
    made = (
        changes_of(found), _differences(found), _not_compared(found), _sub_pixels(found), _zones(found),
        _zone_colours(found), _by_eye(found), _trend(found), _figures(found), _codes(found), _remarks(found),
        _zone_forecasts(found), _deciding(found),
    )  # fmt: skip
    return {t.name: t for t in made}


def json_of(found: Comparison, figures: Mapping[str, object]) -> dict[str, object]:
    """Return a comparison as plain data for ``json``; ``figures``: those of each checkpoint by its name."""
    return {
        "panel": found.panel,
        "level": found.level,
        "verdict": list(found.sentences),
        "checkpoints": [
            {"name": c.name, **c.use.all_keys(), "date": c.date, "figures": figures.get(c.name, [])}
            for c in found.checkpoints
        ],
        "tables": [t.to_json() for t in tables_of(found).values()],
    }


def changes_of(found: Comparison) -> CsvTable:
    """Return the table ``changes`` alone: every line of the change table of each pair."""
    columns = (
        *PAIR,
        ("figure", "", "stable key"),
        ("caption", "", "what a person calls it"),
        ("under", "", "the figure it follows from"),
        *_THEN_AND_NOW,
        ("change", "row", "change", "u"),
        ("unit", "", "unit of change, u, half_width, bound and worth"),
        ("u", "row", "standard uncertainty of the change", 2),
        ("dof", "1", "its effective degrees of freedom; empty: infinitely many", 3),
        ("half_width", "row", f"half width of the {percent(found.level)} interval", 2),
        ("p", "1", "two-sided p value before Holm's procedure", 2),
        ("verdict", "", "changed, no change larger than, undecided"),
        ("bound", "row", "least X for which the interval lies inside ± X", 3),
        ("worth", "row", "change worth knowing of", 3),
        ("why", "", "why the verdict is withheld"),
        ("cancelled", "", "uncertainties both checkpoints share"),
        ("uncertainties", "", "largest uncertainties that stay, with their standard uncertainties"),
    )
    rows = [(*ends_of(pair), *_cells(row, found.level)) for pair in found.pairs for row in pair.rows]
    return table("changes", "What changed", columns, rows)


def _cells(row: JudgedChange, level: float) -> tuple[object, ...]:
    change, step = row.change, row.change.step
    uncertainties = sorted(step.components, key=lambda c: -c.u)[:4]
    return (
        row.name,
        change.caption,
        row.under,
        change.before.value,
        change.after.value,
        change.before.u,
        change.after.u,
        change.after.unit,
        step.value,
        step.unit,
        step.u,
        step.dof,
        expanded(step, level),
        row.judged.p,
        row.judged.verdict,
        row.judged.bound,
        row.judged.worth,
        row.judged.why,
        ", ".join(change.cancelled),
        "; ".join(f"{c.name} {c.u:.2g}{f' ({ASSUMED})' if c.note == ASSUMED else ''}" for c in uncertainties),
    )


def _differences(found: Comparison) -> CsvTable:
    columns = (*PAIR, ("topic", "", "what it is about"), ("what", "", "what differed"), ("cost", "", "its effect"))
    rows = [(*ends_of(pair), d.topic, d.what, d.cost) for pair in found.pairs for d in pair.how.differences]
    return table("differences", "What differed", columns, rows)


def _remarks(found: Comparison) -> CsvTable:
    columns = (
        *PAIR,
        (
            "kind",
            "",
            "suspicion: what else than wear may explain a change; white: what its step rests on; assumed: what "
            "nobody measured; no rate: why nothing is given for hours of use",
        ),
        ("sentence", "", "as it is said"),
    )
    rows: list[tuple[object, ...]] = []
    for pair in found.pairs:
        rows += [(*ends_of(pair), "suspicion", sentence) for sentence in pair.suspicions]
        rows += [(*ends_of(pair), "white", f"{pair.white}.")] if pair.white else []
        rows += [(*ends_of(pair), "assumed", f"{pair.assumed}.")] if pair.assumed else []
        rows += [(*ends_of(pair), "no rate", f"{pair.no_rate}.")] if pair.no_rate else []
    return table("remarks", "What stands beside the verdict", columns, rows)


def _deciding(found: Comparison) -> CsvTable:
    rows = [(*ends_of(pair), *cells) for pair in found.pairs for one in pair.deciding for cells in deciding_cells(one)]
    return table("deciding", "What would decide what is undecided", (*PAIR, *DECIDING_COLUMNS), rows)


def _zone_forecasts(found: Comparison) -> CsvTable:
    columns = (
        ("zone", "", "name in panel.toml"),
        ("said", "", "visible already, refused, bound, indicative or interval"),
        ("low_h", "h", "not visible before, in hours of use", 3),
        ("high_h", "h", "visible by then; empty where only the lower limit may be said", 3),
        ("sentence", "", "as it is said"),
    )
    rows = [(f.zone, f.said, f.low_h, f.high_h, f.sentence) for f in found.zone_forecasts()]
    return table("zone-forecasts", "When zones become visible", columns, rows)


def _not_compared(found: Comparison) -> CsvTable:
    rows = [(*ends_of(pair), sentence) for pair in found.pairs for sentence in pair.not_compared]
    return table("not-compared", "Not comparable", (*PAIR, ("why", "", "which patches, and why")), rows)


def _sub_pixels(found: Comparison) -> CsvTable:
    columns = (
        *PAIR,
        ("channel", "", "kind of sub-pixel"),
        ("retention_percent", "%", "luminance now over then", "retention_u_percent"),
        ("retention_u_percent", "%", "standard uncertainty, the probe's session scale included", 2),
        ("retention_half_width_percent", "%", f"half width of the {percent(found.level)} interval", 2),
        ("relative_percent", "%", "against the mean of the other two: ratio inside each session", "relative_u_percent"),
        ("relative_u_percent", "%", "its standard uncertainty", 2),
        ("relative_half_width_percent", "%", f"half width of the {percent(found.level)} interval", 2),
        ("loss_per_1000_h_percent", "%", "loss for every 1000 h of use", "loss_per_1000_h_u_percent"),
        ("loss_per_1000_h_u_percent", "%", "its standard uncertainty", 2),
        ("alone_K", "K", "what this channel alone does to the colour temperature of white", 3),
    )
    rows: list[tuple[object, ...]] = []
    for pair in found.pairs:
        sub = pair.sub_pixels
        if sub is None:
            continue
        for i, c in enumerate(sub.channels):
            rows.append(
                (
                    *ends_of(pair), c.hue,
                    c.retention.value, c.retention.u, expanded(c.retention, found.level),
                    c.relative.value, c.relative.u, expanded(c.relative, found.level),
                    c.loss_per_1000_h.value, c.loss_per_1000_h.u,
                    round(sub.shares_K[i], 1) + 0.0 if sub.shares_K is not None else None,
                )
            )  # fmt: skip
        if sub.fourth is not None:
            f = sub.fourth
            rows.append(
                (*ends_of(pair), "fourth", f.value, f.u, expanded(f, found.level), *(None,) * 6)
            )  # fmt: skip
    return table("sub-pixels", "What each kind of sub-pixel has kept", columns, rows)


def _each_zone(found: Comparison) -> Iterator[tuple[tuple[object, ...], ZoneFinding]]:
    for pair in found.pairs:
        for zone in pair.zones:
            yield ends_of(pair), zone
    if found.checkpoints:
        end = found.checkpoints[-1]
        for zone in found.zones_alone:
            yield alone(end), zone


def _zones(found: Comparison) -> CsvTable:
    columns = (
        *PAIR,
        ("zone", "", "name in panel.toml"),
        ("reference", "", "what it is compared with"),
        (
            "contrast_percent",
            "%",
            "as it is now, mean over the greys; above 0: brighter than the reference",
            "contrast_u_percent",
        ),
        ("contrast_u_percent", "%", "its standard uncertainty", 2),
        ("change_percent", "%", "ratio of ratios less one since the earlier checkpoint", "change_u_percent"),
        ("change_u_percent", "%", "its standard uncertainty", 2),
        ("change_half_width_percent", "%", f"half width of the {percent(found.level)} interval", 2),
        ("verdict", "", "from the change table"),
        ("emitter_percent", "%", "part that is alike at all levels", "emitter_u_percent"),
        ("emitter_u_percent", "%", "its standard uncertainty", 2),
        (
            "backplane_percent",
            "%",
            "part that grows towards the dark, at the darkest level read",
            "backplane_u_percent",
        ),
        ("backplane_u_percent", "%", "its standard uncertainty", 2),
        ("levels_from_cd_m2", "cd/m²", "darkest level read; of darker ones nothing is known", 4),
        ("levels_to_cd_m2", "cd/m²", "brightest level read", 4),
        ("visibility", "1", "index of the contrast as it is: 1 is just noticed by half of the observers", 2),
        ("visibility_low", "1", "with the contrast's interval and the model's 30 %", 2),
        ("visibility_high", "1", "upper end", 2),
        ("seen", "", "the index in words"),
        ("seen_under", "", "distance, luminance and room assumed"),
        ("fading", "", "retention or burn-in, where the eye looked again after rest"),
        ("marks", "1", "marks of the by-eye check on the zone"),
        ("normalised_by", "", "baseline, or what stands in for one"),
    )
    rows = []
    for ends, z in _each_zone(found):
        step = z.change.step if z.change is not None else (z.unbased.contrast if z.unbased is not None else None)
        rows.append(
            (
                *ends, z.zone, z.reference, z.now.value, z.now.u,
                step.value if step else None, step.u if step else None,
                expanded(step, found.level) if step else None,
                z.judged.verdict if z.judged is not None else "",
                z.fit.emitter.value if z.fit else None, z.fit.emitter.u if z.fit else None,
                *_at_the_darkest(z.fit),
                z.seen.index if z.seen else None, z.seen.low if z.seen else None, z.seen.high if z.seen else None,
                z.seen.word_range if z.seen else "", z.seen.assumptions if z.seen else "",
                z.fading.verdict if z.fading else "", z.marks,
                z.unbased.against if z.unbased is not None else "baseline",
            )
        )  # fmt: skip
    return table("zones", "How far each zone has worn apart from its reference", columns, rows)


def _at_the_darkest(fit: LevelFit | None) -> tuple[float | None, ...]:
    if fit is None:
        return (None,) * 4
    part = fit.backplane_at(fit.darkest_cd_m2)
    return (part.value, part.u, fit.darkest_cd_m2, fit.brightest_cd_m2)


def _zone_colours(found: Comparison) -> CsvTable:
    columns = (
        *PAIR,
        ("zone", "", "name in panel.toml"),
        ("hue", "", "grey, red, green or blue"),
        ("level", "", "drive level or wanted luminance"),
        ("reference_cd_m2", "cd/m²", "luminance of the reference now", 4),
        ("then_percent", "%", "contrast at the earlier checkpoint", "then_u_percent"),
        ("now_percent", "%", "contrast at the later one", "now_u_percent"),
        ("then_u_percent", "%", "standard uncertainty of then", 2),
        ("now_u_percent", "%", "standard uncertainty of now", 2),
        ("change_percent", "%", "ratio of ratios less one", "u_percent"),
        ("u_percent", "%", "its standard uncertainty", 2),
        ("half_width_percent", "%", f"half width of the {percent(found.level)} interval", 2),
        ("verdict", "", "only changed where the zone as a whole is"),
        ("bound_percent", "%", "least X for which the interval lies inside ± X", 3),
    )
    rows = [
        (
            *ends, z.zone, c.hue, c.level, c.reference_cd_m2, c.change.before.value, c.change.after.value,
            c.change.before.u, c.change.after.u,
            c.change.step.value, c.change.step.u, expanded(c.change.step, found.level), c.judged.verdict,
            c.judged.bound,
        )
        for ends, z in _each_zone(found)
        for c in z.colours
    ]  # fmt: skip
    return table("zone-colours", "Each zone by hue and level", columns, rows)


def _by_eye(found: Comparison) -> CsvTable:
    columns = (
        *PAIR,
        ("zone", "", "name in panel.toml"),
        ("method", "", "how the eye measured"),
        ("hue", "", "channels driven"),
        ("code", "1", "drive level of the field"),
        ("eye_percent", "%", "contrast by eye", "eye_u_percent"),
        ("eye_u_percent", "%", "its standard uncertainty, from the scatter of the settings", 2),
        ("instrument_percent", "%", "contrast by instrument", "instrument_u_percent"),
        ("instrument_u_percent", "%", "its standard uncertainty", 2),
        ("instrument_level", "", "level it was read at"),
        ("half_width_percent", "%", "half width of the 95 % interval of their difference", 2),
        ("agrees", "", "whether the difference lies inside it"),
    )
    rows = [
        (
            *ends, z.zone, e.method, e.hue, e.code, e.eye, e.u_eye, e.instrument, e.u_instrument, e.instrument_level,
            e.half_width, "yes" if e.agrees else "no",
        )
        for ends, z in _each_zone(found)
        for e in z.eye
    ]  # fmt: skip
    return table("by-eye", "Eye beside instrument", columns, rows)


def _trend(found: Comparison) -> CsvTable:
    columns = (
        ("figure", "", "stable key"),
        ("caption", "", "what a person calls it"),
        ("unit", "", "unit of value, u, low and high"),
        ("checkpoint", "", "name"),
        ("hours", "h", "hours of use; where they are estimated within a range, its middle"),
        *HOURS_BETWEEN,
        ("u_h", "h", "standard uncertainty of the hours; 0 unless they are estimated within a range", 2),
        ("value", "row", "retention and zones: against the baseline", "u"),
        ("u", "row", "standard uncertainty", 2),
        ("low", "row", f"lower end of the {percent(found.level)} interval", "u"),
        ("high", "row", "upper end", "u"),
        ("segment", "1", "rises where a compensation cycle or another setting cuts the series"),
    )
    rows = [
        (
            s.name, s.caption, s.unit, p.checkpoint, p.use.value, p.use.low, p.use.high, p.hours_u, p.value, p.u,
            p.low, p.high, p.segment,
        )
        for s in found.trend
        for p in s.points
    ]  # fmt: skip
    return table("trend", "Figures against hours of use", columns, rows)


def _figures(found: Comparison) -> CsvTable:
    columns = (
        *PAIR,
        ("figure", "", "stable key"),
        ("caption", "", "what a person calls it"),
        *_THEN_AND_NOW,
        ("change", "row", "change; no verdict, as one interval in twenty misses by chance", "u"),
        ("unit", "", "unit of change, u and half_width"),
        ("u", "row", "standard uncertainty", 2),
        ("dof", "1", "effective degrees of freedom; empty: infinitely many", 3),
        ("half_width", "row", f"half width of the {percent(found.level)} interval", 2),
    )
    rows = [(*ends_of(pair), *_figure(change, found.level)) for pair in found.pairs for change in pair.figures]
    return table("figures", "Every figure, without verdicts", columns, rows)


def _figure(change: Change, level: float) -> tuple[object, ...]:
    s = change.step
    return (
        change.name, change.caption, change.before.value, change.after.value, change.before.u, change.after.u,
        change.after.unit, s.value, s.unit, s.u, s.dof, expanded(s, level),
    )  # fmt: skip


def _codes(found: Comparison) -> CsvTable:
    columns = (
        *PAIR,
        ("patch", "", "key"),
        ("target_cd_m2", "cd/m²", "luminance that was wanted"),
        ("then", "1", "drive level it took, brought to the target", "u"),
        ("now", "1", "the same at the later checkpoint", "u"),
        ("change", "1", "codes more", "u"),
        ("u", "1", "standard uncertainty, the probe's session scale included", 2),
    )
    rows = [
        (*ends_of(pair), c.key, c.target_cd_m2, c.before, c.after, c.after - c.before, c.u)
        for pair in found.pairs
        for c in pair.codes
    ]
    return table("codes", "Drive levels that wanted luminances took", columns, rows)
