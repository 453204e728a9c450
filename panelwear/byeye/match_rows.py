"""What was measured by eye, as rows of ``matches.csv``."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from panelwear.byeye.forced_choice import ChoiceResult
from panelwear.byeye.matching import AdjustmentResult
from panelwear.byeye.quest import QuestResult
from panelwear.byeye.visibility import ViewedZone, visibility
from panelwear.readings.matches import MatchResult
from panelwear.telling.words import whole_percent
from panelwear.uncertainty.coverage import effective_dof, t_factor


def _percent(value: float) -> float | None:
    return None if math.isnan(value) else round(value * 100, 5)


def _mixed_in(row: MatchResult, counted: int, shams: int, decoys: int) -> MatchResult:
    if not shams:
        return row
    whole = counted + shams + decoys
    return row.noted(
        f"{shams} of {whole} trials were shams ({whole_percent(shams / whole)}), {decoys} decoys at the same place"
    )


def from_adjustment(blank: MatchResult, result: AdjustmentResult) -> MatchResult:
    """Fill a row with what a matching by adjustment found."""
    row = replace(
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
    )
    return _mixed_in(row, len(result.settings), len(result.sham_settings), result.decoys)


def from_choice(blank: MatchResult, result: ChoiceResult) -> MatchResult:
    """Fill a row with what a forced choice found; ``sham_found`` counts "brighter" over the unworn place."""
    row = replace(
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
    )
    return _mixed_in(row, result.trials, result.sham_trials, result.decoys)


def from_detection(blank: MatchResult, result: QuestResult) -> MatchResult:
    """Fill a row with a detection threshold; there is no contrast in it, only what this person could see."""
    return replace(
        blank,
        method="detection",
        own_threshold_percent=_percent(result.threshold),
        low_percent=_percent(result.low),
        high_percent=_percent(result.high),
        trials=result.trials,
    )


def _viewed_zone(row: MatchResult, pitch_mm: tuple[float, float]) -> ViewedZone:
    across, down = pitch_mm
    rect = row.rect
    return ViewedZone(rect.w * across, rect.h * down, row.level_cd_m2, row.distance_mm, max(row.edge_px, 0) * across)


def visibility_basis(row: MatchResult, pitch_mm: tuple[float, float]) -> str:
    """Say what a row's visibility rests on (three models' thresholds, distance, light, the band), or nothing."""
    if row.contrast_percent is None or row.level_cd_m2 <= 0:
        return ""
    judged = visibility(row.contrast_percent / 100, _viewed_zone(row, pitch_mm))
    notes = "".join(f"; {note}" for note in judged.notes)
    return (
        f"just noticed here: {judged.threshold_percent:.2f} % (SEMI D31, extended; ±30 %); the contrast is "
        f"{judged.gsdf_steps:.1f} GSDF steps; below {judged.barten_percent:.2f} % nothing is seen (Barten); "
        f"{judged.assumptions}; {row.level_basis}{notes}"
    )


def with_visibility(row: MatchResult, pitch_mm: tuple[float, float]) -> MatchResult:
    """Add the visibility index to a row that has a contrast."""
    if row.contrast_percent is None or row.level_cd_m2 <= 0:
        return row
    zone = _viewed_zone(row, pitch_mm)
    interval = None
    if row.low_percent is not None and row.high_percent is not None:
        interval = (row.low_percent / 100, row.high_percent / 100)
    judged = visibility(row.contrast_percent / 100, zone, interval)
    return replace(
        row,
        visibility=round(judged.index, 4),
        visibility_low=round(judged.low, 4),
        visibility_high=round(judged.high, 4),
        word=judged.word_range,
    )


def _reach(one: MatchResult, other: MatchResult) -> float:
    us = [row.u_percent or 0.0 for row in (one, other)]
    return t_factor(effective_dof(us, [row.dof or 1 for row in (one, other)])) * math.hypot(*us)


def growth_sentence(now: MatchResult, earlier: Sequence[MatchResult]) -> str:
    """Say in one sentence whether the contrast grew since the last like match (zone, hue, code), or ``""``.

    Two matches differ when 0 lies outside the 95 % t interval of their difference, with the effective degrees of
    freedom of Welch and Satterthwaite (JCGM 100:2008, G.4.1). Rows without a contrast say nothing and hide no earlier
    one.
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
