"""``matches.csv``: what was measured by eye, one row a zone, level, channel and method."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Annotated

from panelwear.readings.columns import Column
from panelwear.telling.words import whole_percent
from patterns.frame import Rect

FILE = "matches.csv"
FORMER_FILE = "nulls.csv"
"""Its name in folders of version 0.1.0."""
METHODS = ("adjustment", "forced-choice", "detection")


def matches_file(directory: Path) -> Path:
    """Return where a checkpoint's folder keeps its matches: one of version 0.1.0 is gone on with under its own name."""
    former = directory / FORMER_FILE
    return former if former.exists() else directory / FILE


@dataclass(frozen=True, slots=True)
class MatchResult:
    """One result; contrasts in % of the surround's luminance. Field order is column order.

    What a method does not measure keeps its default.
    """

    match: Annotated[int, Column("1", "Number of the row, from 1", formerly="null")]
    session: Annotated[int, Column("1", "Session of the checkpoint", formerly="sitting")]
    time_utc: Annotated[str, Column("", "When it was finished, UTC", datatype="dateTime")]
    zone: Annotated[str, Column("", "Zone of panel.toml, or mark-N of marks.csv")]
    rect_px: Annotated[str, Column("px", "The zone: left top width height")]
    edge_px: Annotated[int, Column("px", "Width of the correction's soft edge")]
    method: Annotated[str, Column("", f"One of: {', '.join(METHODS)}")]
    after_min: Annotated[float | None, Column("min", "Minutes of rest before it; empty outside a recheck")]
    hue: Annotated[str, Column("", "Channels driven: grey, red, green or blue")]
    code: Annotated[float, Column("1", "Drive level of the field")]
    level_cd_m2: Annotated[float, Column("cd/m²", "Luminance of the field through the response")]
    level_basis: Annotated[str, Column("", "measured-response or assumed-response")]
    contrast_percent: Annotated[
        float | None, Column("%", "Zone minus surround, in % of the surround's luminance; positive: zone brighter")
    ] = None
    u_percent: Annotated[float | None, Column("%", "Standard uncertainty of the contrast, from the scatter alone")] = (
        None
    )
    dof: Annotated[int | None, Column("1", "Its degrees of freedom")] = None
    low_percent: Annotated[
        float | None, Column("%", "Lower end of the 95 % interval (of the threshold, for detection)")
    ] = None
    high_percent: Annotated[float | None, Column("%", "Upper end")] = None
    hysteresis_percent: Annotated[
        float | None, Column("%", "Mean setting from too bright minus mean from too dark")
    ] = None
    own_threshold_percent: Annotated[float | None, Column("%", "Least contrast this person could tell here")] = None
    spread_percent: Annotated[
        float | None, Column("%", "Standard deviation of one setting, or of the forced-choice curve")
    ] = None
    trials: Annotated[int, Column("1", "Settings or answers that count")] = 0
    sham_trials: Annotated[int, Column("1", "Trials over an unworn place")] = 0
    sham_found: Annotated[
        int, Column("1", "Of these: something was found where nothing is (forced choice: called brighter)")
    ] = 0
    finest_step_percent: Annotated[float, Column("%", "Smallest step the zone's pixels can be given")] = 0.0
    distance_mm: Annotated[float, Column("mm", "Viewing distance")] = 0.0
    visibility: Annotated[float | None, Column("1", "Visibility index (SEMI D31 extended): 1 is just noticed")] = None
    visibility_low: Annotated[
        float | None, Column("1", "With the contrast's interval and the model's 30 % band: lower end")
    ] = None
    visibility_high: Annotated[float | None, Column("1", "Upper end")] = None
    word: Annotated[
        str, Column("", "invisible, borderline, visible or obvious, from lower to upper end", may_be_empty=True)
    ] = ""
    settings_percent: Annotated[
        str, Column("%", "Every setting as a correction, in the order made", may_be_empty=True)
    ] = ""
    seed: Annotated[int, Column("1", "Seed of order and starting points")] = 0
    note: Annotated[str, Column("", "What else is to be said", may_be_empty=True)] = ""

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
        share = f"{self.sham_found} of {self.sham_trials} ({whole_percent(self.sham_found / self.sham_trials)})"
        if self.method == "forced-choice":
            return f"sham trials called brighter: {share}; about half without a habit"
        return f"sham trials where something was found: {share}"

    @property
    def measured(self) -> bool:
        """Whether there is a contrast with its uncertainty in it."""
        return self.contrast_percent is not None and self.u_percent is not None and self.dof is not None

    def noted(self, sentence: str) -> MatchResult:
        """Return it with one more thing said in its note."""
        return replace(self, note="; ".join(filter(None, [self.note, sentence])))
