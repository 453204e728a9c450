"""Figures said to a person: the table of ``spot`` and the short summary at the end of an inspection."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from panelwear.figures.checkpoint import Figures, of_checkpoint
from panelwear.figures.means import TOLD_FLAGS
from panelwear.readings.table import ReadingTable
from panelwear.telling.parts import Part, Prose, grid, paragraphs
from panelwear.uncertainty.estimate import Estimate
from panelwear.uncertainty.formatting import NONE, or_reason
from panelwear.uncertainty.meter import DEFAULTS, MeterTerms

SUMMARY = ("white.x", "white.y", "white.u_prime", "white.v_prime", "white.cct", "white.duv",
           "peak", "black", "contrast/sequential", "gamma")  # fmt: skip
AFTER_WHITE = ("red.Y", "green.Y", "blue.Y", "additivity", "black", "contrast/sequential")
WHITE_PARTS = ("Y", "x", "y", "u_prime", "v_prime", "cct", "duv", "d65")


NOTHING = "There are no readings a figure could be worked out from."


def spot_table(figures: Mapping[str, Estimate], previous: Mapping[str, Estimate] | None = None) -> list[Part]:
    """Return the table of ``spot``: each figure with its 95 % uncertainty, beside the last checkpoint's.

    Args:
        figures: of this session.
        previous: of the checkpoint before; its column is left out when ``None``.
    """
    others = [n for n in AFTER_WHITE if n in figures]
    notes: tuple[str, ...] = getattr(figures, "notes", ())
    figures, common = _common_flags_out(figures)
    rows = _peaks(figures, previous) + _whites(figures, previous) + [_row(figures[n], previous) for n in others]
    if not rows:
        return [Prose(NOTHING)]
    titles = ["figure", "now, ± at 95 %", *(["last checkpoint"] if previous is not None else []), "note"]
    return [_laid(titles, rows), *_said_of_all(common), *paragraphs(*notes)]


def _laid(titles: list[str], rows: list[list[str]]) -> Part:
    """Make the table, without its last column where nothing is noted."""
    if not any(row[-1] for row in rows):
        titles, rows = titles[:-1], [row[:-1] for row in rows]
    return grid(titles, rows)


def _said_of_all(flags: list[str]) -> list[Part]:
    return [Prose(f"Every figure is flagged {', '.join(flags)}.")] if flags else []


def _common_flags_out(figures: Mapping[str, Estimate]) -> tuple[Mapping[str, Estimate], list[str]]:
    """Take the flags that all figures bear out of their notes, to be said once."""
    parts = {name: e.note.split("; ") for name, e in figures.items() if not name.startswith("stability")}
    flags = [{f for part in listed for f in part.split(", ")} for listed in parts.values()]
    common = [f for f in TOLD_FLAGS if flags and all(f in mine for mine in flags)]

    def without(note: str) -> str:
        kept = (", ".join(w for w in part.split(", ") if w not in common) for part in note.split("; "))
        return "; ".join(part for part in kept if part)

    return {name: replace(e, note=without(e.note)) for name, e in figures.items()}, common


def _peaks(figures: Mapping[str, Estimate], previous: Mapping[str, Estimate] | None) -> list[list[str]]:
    found = [figures[n] for n in figures if n == "peak" or n.startswith("peak/")]
    return [_row(e, previous, e.caption.replace("peak luminance, ", "  ")) for e in found]


def _whites(figures: Mapping[str, Estimate], previous: Mapping[str, Estimate] | None) -> list[list[str]]:
    """Return each white as a heading with its parts below."""
    rows: list[list[str]] = []
    for stem in dict.fromkeys(n.rpartition(".")[0] for n in figures if n.startswith("white")):
        parts = [figures[f"{stem}.{part}"] for part in WHITE_PARTS if f"{stem}.{part}" in figures]
        rows.append([parts[0].caption.rpartition(", ")[0], *[""] * (3 if previous is not None else 2)])
        rows += [_row(e, previous, "  " + e.caption.rpartition(", ")[2]) for e in parts]
    return rows


def summary(table: ReadingTable, meter: MeterTerms = DEFAULTS, floor_cd_m2: float | None = None) -> list[Part]:
    """Return the short summary of an inspection, each figure with its 95 % uncertainty."""
    return summary_of(of_checkpoint(table, meter, floor_cd_m2=floor_cd_m2))


def summary_of(figures: Figures) -> list[Part]:
    """Return the short summary of figures already worked out."""
    quiet, common = _common_flags_out({name: figures[name] for name in SUMMARY if name in figures})
    rows = [_row(estimate, None) for estimate in quiet.values()]
    if not rows:
        return [Prose(NOTHING)]
    return [_laid(["figure", "± at 95 %", "note"], rows), *_said_of_all(common), *paragraphs(*figures.notes)]


def _row(estimate: Estimate, previous: Mapping[str, Estimate] | None, label: str = "") -> list[str]:
    now, label = or_reason(estimate), label or estimate.caption or estimate.name
    if previous is None:
        return [label, now, estimate.note]
    before = previous.get(estimate.name)
    return [label, now, or_reason(before) if before is not None else NONE, estimate.note]
