"""``nulls.csv``: what was measured by eye, one row a zone, level, channel and method."""

from __future__ import annotations

from dataclasses import dataclass

from panelwear.readings.csvw import ColumnNote
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
