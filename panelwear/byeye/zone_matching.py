"""From a zone to a row of ``matches.csv``: sets a method up, runs it on the screen, works the result out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from panelwear.byeye import mix
from panelwear.byeye.choice import ChoicePlan, PairChoice
from panelwear.byeye.fields import Fields
from panelwear.byeye.match_rows import from_adjustment, from_choice, from_detection, with_visibility
from panelwear.byeye.match_screen import Measuring
from panelwear.byeye.matching import Matching, Plan
from panelwear.byeye.plain import plain_pair, plain_places
from panelwear.byeye.quest import Quest, QuestPlan
from panelwear.byeye.views import Stop, Target
from panelwear.errors import Stopped, UsageError
from panelwear.folder.panel import Panel
from panelwear.readings.matches import MatchResult
from panelwear.screen.bench import Bench
from patterns.frame import Rect

LARGEST = 0.15
"""Corrections and contrasts stay within this, whatever the panel could do."""
LEAST_REACH = 0.03
"""Less room than this to either side is no room to match in."""


@dataclass(slots=True)
class Weighing:
    """Measures zones on a bench; every run has its own seed, drawn from the session's."""

    bench: Bench
    fields: Fields
    panel: Panel
    edge_px: int
    seed: int
    partial: MatchResult | None = None
    """What a run that Escape ended had found, where that is enough for a result."""
    settings: int = 8
    """Counted settings of a matching."""
    _runs: int = 0

    def measure(
        self, blank: MatchResult, target: Target, stop: Stop, method: str, worn: Sequence[Rect]
    ) -> tuple[MatchResult | None, str]:
        """Run a method; returns the row (``None`` when it was broken off too early) and one sentence.

        Raises:
            UsageError: it cannot be done here, in one sentence.
            Stopped: Escape; ``partial`` has what was found so far.
        """
        self.partial = None
        self._runs += 1
        seed = self.seed + self._runs
        width, height = self.fields.width, self.fields.height
        zone = mix.onscreen(target.rect, width, height)
        curve, _ = self.fields.curve(stop.hue)
        limits = self._limits(stop)
        places = plain_places(zone, worn, width, height, margin=self.edge_px)
        run = Measuring(
            self.bench.screen,
            self.bench.clock,
            self.fields.frame(stop),
            zone,
            curve.luminance,
            self.edge_px,
            places,
            plain_pair(zone, worn, width, height, margin=self.edge_px),
        )
        finest = mix.finest_step(curve.luminance, stop.code, zone.area)
        notes = [] if places else ["no plain place for sham trials"]
        if zone != target.rect:
            notes.append("part of the zone lies off the screen")
        if finest > Plan().fine_step:
            notes.append(f"the zone's pixels allow steps of {finest:.2%} only")
        row = replace(blank, seed=seed, finest_step_percent=round(finest * 100, 5), note="; ".join(notes))
        runs = {"adjustment": self._adjust, "forced-choice": self._choose, "detection": self._detect}
        return runs[method](run, row, limits)

    def _limits(self, stop: Stop) -> tuple[float, float]:
        curve, _ = self.fields.curve(stop.hue)
        low, high = mix.reach(curve.luminance, stop.code)
        if min(-low, high) < LEAST_REACH:
            raise UsageError(
                f"code {stop.code:g} leaves no room to go {'darker' if -low < high else 'brighter'}: "
                "step the level away from the end first"
            )
        return (max(low, -LARGEST), min(high, LARGEST))

    def _adjust(self, run: Measuring, row: MatchResult, limits: tuple[float, float]) -> tuple[MatchResult | None, str]:
        matching = Matching(Plan(settings=self.settings, limits=limits, with_shams=bool(run.plain)), row.seed)

        def found() -> MatchResult | None:
            try:
                return with_visibility(from_adjustment(row, matching.result()), self.panel.pitch_mm)
            except UsageError:
                return None

        try:
            whole = run.adjust(matching)
        except Stopped:
            self.partial = found()
            raise
        return _ended(found(), whole, f"{row.zone}: too few settings for a result, nothing was stored")

    def _choose(self, run: Measuring, row: MatchResult, limits: tuple[float, float]) -> tuple[MatchResult | None, str]:
        choice = PairChoice(ChoicePlan(limits=limits, shams=bool(run.plain)), row.seed)

        def found() -> MatchResult | None:
            try:
                return with_visibility(from_choice(row, choice.result()), self.panel.pitch_mm)
            except UsageError:
                return None

        try:
            whole = run.choose(choice)
        except Stopped:
            self.partial = found()
            raise
        return _ended(found(), whole, f"{row.zone}: too few answers for a result, nothing was stored")

    def _detect(self, run: Measuring, row: MatchResult, limits: tuple[float, float]) -> tuple[MatchResult | None, str]:
        plan = QuestPlan(largest=limits[1])
        quest = Quest(plan, row.seed)
        whole = run.detect(quest)
        row = replace(row, note="; ".join(filter(None, [row.note, "threshold at about 81 % right"])))
        enough = len(quest.trials) >= plan.least_trials
        found = from_detection(row, quest.result()) if enough else None
        return _ended(found, whole, f"{row.zone}: too few answers for a threshold, nothing was stored")


def _ended(row: MatchResult | None, whole: bool, nothing: str) -> tuple[MatchResult | None, str]:
    if row is None:
        return None, nothing
    if not whole:
        row = replace(row, note="; ".join(filter(None, [row.note, "broken off"])))
    return row, sentence(row)


def sentence(row: MatchResult) -> str:
    """Say a row in one sentence, every number with its unit and its uncertainty."""
    where = f"{row.zone}, {row.hue} {row.level_cd_m2:.3g} cd/m²"
    if row.method == "detection":
        return (
            f"{where}: you can see {row.own_threshold_percent:.2f} % here "
            f"({row.low_percent:.2f} to {row.high_percent:.2f} %, 95 %)"
        )
    told = (
        f"{where}: {row.contrast_percent:+.2f} % ({row.low_percent:+.2f} to {row.high_percent:+.2f} %, 95 %), "
        f"visibility {row.visibility_low:.1f} to {row.visibility_high:.1f}: {row.word}"
    )
    if row.own_threshold_percent is not None:
        told += f"; your own threshold {row.own_threshold_percent:.2f} %"
    caution = "caution: " if row.sham_found and row.method == "adjustment" else ""
    return f"{told}; {caution}{row.shams_told}"
