"""``nulls.csv``: what was measured by eye, one row a zone, level, channel and method."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from panelwear.byeye.choice import ChoiceResult
from panelwear.byeye.nulling import NullResult
from panelwear.byeye.quest import QuestResult
from panelwear.byeye.visibility import Seen, visibility
from panelwear.readings.csvw import ColumnNote
from panelwear.uncertainty.coverage import effective_dof, t_factor
from patterns.frame import Rect

FILE = "nulls.csv"
METHODS = ("adjustment", "forced-choice", "detection")


@dataclass(frozen=True, slots=True)
class Null:
    """One result; contrasts in % of the surround's luminance. Field order is column order."""

    null: int
    session: int
    time_utc: str
    zone: str
    rect_px: str
    """``x y w h``."""
    edge_px: int
    method: str
    after_min: float | None
    """Minutes of rest, for a recheck."""
    hue: str
    code: float
    level_cd_m2: float
    level_basis: str
    contrast_percent: float | None
    u_percent: float | None
    dof: int | None
    low_percent: float | None
    high_percent: float | None
    hysteresis_percent: float | None
    own_threshold_percent: float | None
    spread_percent: float | None
    trials: int
    sham_trials: int
    sham_found: int
    finest_step_percent: float
    """Smallest step the mix of two codes could give a zone of so many pixels."""
    distance_mm: float
    visibility: float | None
    visibility_low: float | None
    visibility_high: float | None
    word: str
    settings_percent: str
    """Every setting (correction in %), separated by spaces, in the order made."""
    seed: int
    note: str

    @property
    def rect(self) -> Rect:
        """The zone in pixels."""
        x, y, w, h = (int(part) for part in self.rect_px.split())
        return Rect(x, y, w, h)

    @property
    def shams_told(self) -> str:
        """What the sham trials say of this row, number and rate, in a few words."""
        if self.method == "detection":
            return ""
        if not self.sham_trials:
            return "no sham trials"
        share = f"{self.sham_found} of {self.sham_trials} ({self.sham_found / self.sham_trials:.0%})"
        if self.method == "forced-choice":
            return f"sham trials called brighter: {share}; about half without a habit"
        return f"sham trials where something was found: {share}"

    @property
    def measured(self) -> bool:
        """Whether there is a contrast with its uncertainty in it."""
        return self.contrast_percent is not None and self.u_percent is not None and self.dof is not None


def _percent(value: float) -> float | None:
    return None if math.isnan(value) else round(value * 100, 5)


def _mixed_in(note: str, counted: int, shams: int, decoys: int) -> str:
    if not shams:
        return note
    whole = counted + shams + decoys
    told = f"{shams} of {whole} trials were shams ({shams / whole:.0%}), {decoys} decoys at the same place"
    return f"{note}; {told}" if note else told


def from_adjustment(blank: Null, result: NullResult) -> Null:
    """Fill a row with what a nulling by adjustment found."""
    return replace(
        blank,
        method="adjustment",
        contrast_percent=_percent(result.contrast),
        u_percent=_percent(result.u),
        dof=result.dof,
        low_percent=_percent(result.low),
        high_percent=_percent(result.high),
        hysteresis_percent=_percent(result.hysteresis),
        own_threshold_percent=_percent(result.own_threshold),
        spread_percent=_percent(result.setting_spread),
        trials=len(result.settings),
        sham_trials=len(result.sham_settings),
        sham_found=result.sham_found,
        settings_percent=" ".join(f"{c * 100:.3f}" for c in result.settings),
        note=_mixed_in(blank.note, len(result.settings), len(result.sham_settings), result.decoys),
    )


def from_choice(blank: Null, result: ChoiceResult) -> Null:
    """Fill a row with what a forced choice found; ``sham_found`` counts "brighter" over the plain place."""
    return replace(
        blank,
        method="forced-choice",
        contrast_percent=_percent(result.contrast),
        u_percent=_percent(result.u),
        dof=result.dof,
        low_percent=_percent(result.low),
        high_percent=_percent(result.high),
        spread_percent=_percent(result.spread),
        trials=result.trials,
        sham_trials=result.sham_trials,
        sham_found=result.sham_brighter,
        note=_mixed_in(blank.note, result.trials, result.sham_trials, result.decoys),
    )


def from_detection(blank: Null, result: QuestResult) -> Null:
    """Fill a row with a detection threshold; there is no contrast in it, only what this person could see."""
    return replace(
        blank,
        method="detection",
        own_threshold_percent=_percent(result.threshold),
        low_percent=_percent(result.low),
        high_percent=_percent(result.high),
        trials=result.trials,
    )


def _seen(row: Null, pitch_mm: tuple[float, float]) -> Seen:
    across, down = pitch_mm
    rect = row.rect
    return Seen(rect.w * across, rect.h * down, row.level_cd_m2, row.distance_mm, max(row.edge_px, 0) * across)


def explained(row: Null, pitch_mm: tuple[float, float]) -> str:
    """Say what a row's visibility rests on (three models' thresholds, distance, light, the band), or nothing."""
    if row.contrast_percent is None or row.level_cd_m2 <= 0:
        return ""
    found = visibility(row.contrast_percent / 100, _seen(row, pitch_mm))
    notes = "".join(f"; {note}" for note in found.notes)
    return (
        f"just noticed here: {found.threshold_percent:.2f} % (SEMI D31, extended; ±30 %); the contrast is "
        f"{found.gsdf_steps:.1f} GSDF steps; below {found.barten_percent:.2f} % nothing is seen (Barten); "
        f"{found.assumptions}; {row.level_basis}{notes}"
    )


def with_visibility(row: Null, pitch_mm: tuple[float, float]) -> Null:
    """Add the visibility index to a row that has a contrast."""
    if row.contrast_percent is None or row.level_cd_m2 <= 0:
        return row
    seen = _seen(row, pitch_mm)
    interval = None
    if row.low_percent is not None and row.high_percent is not None:
        interval = (row.low_percent / 100, row.high_percent / 100)
    found = visibility(row.contrast_percent / 100, seen, interval)
    return replace(
        row,
        visibility=round(found.index, 4),
        visibility_low=round(found.low, 4),
        visibility_high=round(found.high, 4),
        word=found.words,
    )


def _reach(one: Null, other: Null) -> float:
    us = [row.u_percent or 0.0 for row in (one, other)]
    return t_factor(effective_dof(us, [row.dof or 1 for row in (one, other)])) * math.hypot(*us)


def grown(now: Null, earlier: Sequence[Null]) -> str:
    """Say in one sentence whether the contrast grew since the last like null (zone, hue, code), or ``""``.

    Two nulls differ when 0 lies outside the 95 % t interval of their difference, with the effective degrees of freedom
    of Welch and Satterthwaite (JCGM 100:2008, G.4.1). Rows without a contrast say nothing and hide no earlier one.
    """
    like = [
        e
        for e in earlier
        if e.zone == now.zone and e.hue == now.hue and e.code == now.code and e.after_min in {None, 0} and e.measured
    ]
    if not like or not now.measured:
        return ""
    last = like[-1]
    assert now.contrast_percent is not None and last.contrast_percent is not None  # noqa: S101
    change = now.contrast_percent - last.contrast_percent
    reach = _reach(now, last)
    then = f"last time {last.contrast_percent:+.2f} %"
    if abs(change) > reach:
        word = "stronger" if abs(now.contrast_percent) > abs(last.contrast_percent) else "weaker"
        return f"{now.zone}: changed, {word} than {then} by {change:+.2f} ± {reach:.2f} % (95 %)"
    return f"{now.zone}: no change larger than {abs(change) + reach:.2f} % ({then})"


_SHARE = "of the surround's luminance"
COLUMNS: tuple[ColumnNote, ...] = (
    ColumnNote("null", "integer", "1", "Number of the row, from 1", required=True),
    ColumnNote("session", "integer", "1", "Session of the checkpoint", required=True),
    ColumnNote("time_utc", "dateTime", "", "When it was finished, UTC", required=True),
    ColumnNote("zone", "string", "", "Zone of panel.toml, or mark-N of marks.csv", required=True),
    ColumnNote("rect_px", "string", "px", "The zone: left top width height", required=True),
    ColumnNote("edge_px", "integer", "px", "Width of the correction's soft edge", required=True),
    ColumnNote("method", "string", "", f"One of: {', '.join(METHODS)}", required=True),
    ColumnNote("after_min", "number", "min", "Minutes of rest before it; empty outside a recheck"),
    ColumnNote("hue", "string", "", "Channels driven: grey, red, green or blue", required=True),
    ColumnNote("code", "number", "1", "Drive code of the field", required=True),
    ColumnNote("level_cd_m2", "number", "cd/m²", "Luminance of the field through the response", required=True),
    ColumnNote("level_basis", "string", "", "measured-response or assumed-response", required=True),
    ColumnNote("contrast_percent", "number", "%", f"Zone minus surround, in % {_SHARE}; positive: zone brighter"),
    ColumnNote("u_percent", "number", "%", "Standard uncertainty of the contrast, from the scatter alone"),
    ColumnNote("dof", "integer", "1", "Its degrees of freedom"),
    ColumnNote("low_percent", "number", "%", "Lower end of the 95 % interval (of the threshold, for detection)"),
    ColumnNote("high_percent", "number", "%", "Upper end"),
    ColumnNote("hysteresis_percent", "number", "%", "Mean setting from too bright minus mean from too dark"),
    ColumnNote("own_threshold_percent", "number", "%", "Least contrast this person could tell here"),
    ColumnNote("spread_percent", "number", "%", "Standard deviation of one setting, or of the forced-choice curve"),
    ColumnNote("trials", "integer", "1", "Settings or answers that count", required=True),
    ColumnNote("sham_trials", "integer", "1", "Trials over a plain place", required=True),
    ColumnNote(
        "sham_found",
        "integer",
        "1",
        "Of these: something was found where nothing is (forced choice: called brighter)",
        required=True,
    ),
    ColumnNote("finest_step_percent", "number", "%", "Smallest step the zone's pixels can be given", required=True),
    ColumnNote("distance_mm", "number", "mm", "Viewing distance", required=True),
    ColumnNote("visibility", "number", "1", "Visibility index (SEMI D31 extended): 1 is just noticed"),
    ColumnNote("visibility_low", "number", "1", "With the contrast's interval and the model's 30 % band: lower end"),
    ColumnNote("visibility_high", "number", "1", "Upper end"),
    ColumnNote("word", "string", "", "invisible, borderline, visible or obvious, from lower to upper end"),
    ColumnNote("settings_percent", "string", "%", "Every setting as a correction, in the order made"),
    ColumnNote("seed", "integer", "1", "Seed of order and starting points", required=True),
    ColumnNote("note", "string", "", "What else is to be said"),
)
