"""How the checkpoints were read: what was alike, what was not, and what that costs."""

from __future__ import annotations

from panelwear.figures.circumstances import Circumstances
from panelwear.report.content import ReportTable, Section, text
from panelwear.report.inputs import Inputs
from panelwear.screen.questions import QUESTIONS
from panelwear.uncertainty.formatting import NONE

SHORT = {
    "brightness": "Brightness setting",
    "picture_mode": "Picture mode",
    "brightness_limiter": "Constant brightness on",
    "pixel_shift": "Pixel shift on",
    "hdr_off": "HDR off",
    "night_light_off": "Night light off",
    "refresh_hz": "Refresh rate (Hz)",
    "cycle_pending": "Compensation pending",
    "since_cycle_h": "Since last compensation cycle (h)",
    "rest_h": "Rest before (h)",
    "room_lx": "Light at the panel (lx)",
    "room_C": "Room (°C)",
    "room_rh": "Humidity (% RH)",
    "adaptation_min": "Eyes in the dark (min)",
    "changed": "Noted",
}


def section(inputs: Inputs) -> Section:
    """Return settings and differences."""
    listed = [s.circumstances for s in inputs.checkpoints]
    topics = _topics(listed)
    alike = [(name, values[0]) for name, values in topics if len(set(values)) == 1]
    apart = [(name, values) for name, values in topics if len(set(values)) > 1]
    tables = [_differences(inputs)] if inputs.pairs else []
    if apart:
        columns = (text("Checkpoint"), *(text(name) for name, _ in apart))
        rows = tuple((f"{c.use.words}, {c.date}", *(v[i] for _, v in apart)) for i, c in enumerate(listed))
        tables.append(ReportTable("What was not the same every time", columns, rows))
    same = ReportTable("The same at every checkpoint", (text("Setting"), text("Value")), tuple(alike))
    folded = (same,) if alike else ()
    return Section("settings", "Settings and circumstances", tables=tuple(tables), folded=folded)


def _topics(listed: list[Circumstances]) -> list[tuple[str, list[str]]]:
    found: list[tuple[str, list[str]]] = []
    keys = dict.fromkeys(key for c in listed for key in c.answers)
    for key in [k for k in QUESTIONS if k in keys] + [k for k in keys if k not in QUESTIONS]:
        values = [c.answers.get(key, "") or NONE for c in listed]
        if set(values) != {NONE}:
            found.append((SHORT.get(key, key), values))
    found.append(("Compensation cycles counted", [NONE if c.cycles is None else str(c.cycles) for c in listed]))
    found.append(("Probe, serial number", [c.probe or NONE for c in listed]))
    found.append(("Instrument file", [c.instrument or NONE for c in listed]))
    found.append(("Probe calibrated", [c.calibrated or NONE for c in listed]))
    found.append(("Correction matrix", [_digest(c.correction_sha256) for c in listed]))
    found.append(("Screen", [c.screen or NONE for c in listed]))
    found.append(("Sequences", [", ".join(c.sequences) or NONE for c in listed]))
    found.append(("Program", [c.software or NONE for c in listed]))
    return [(name, values) for name, values in found if set(values) != {NONE}]


def _digest(sha256: str) -> str:
    return f"sha256 {sha256[:12]}…" if sha256 else "none"


def _differences(inputs: Inputs) -> ReportTable:
    rows = []
    for pair in inputs.pairs:
        rows += [(f"{pair.before.use.short} to {pair.after.use.short}", d.what, d.cost) for d in pair.how.differences]
    if not rows:
        rows = [("all", "nothing that is known of", "none")]
    return ReportTable(
        "Differences, and what they cost", (text("Between"), text("What differed"), text("Cost")), tuple(rows)
    )
