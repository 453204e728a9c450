"""From a zone to a row of ``matches.csv``: sets a method up, runs it on the screen, works the result out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from panelwear.byeye.forced_choice import ChoicePlan, PairChoice
from panelwear.byeye.match_rows import from_adjustment, from_choice, from_detection, with_visibility
from panelwear.byeye.match_screen import MatchScreen
from panelwear.byeye.matching import Matching, MatchPlan
from panelwear.byeye.quest import Quest, QuestPlan
from panelwear.byeye.unworn_places import unworn_pair, unworn_place
from panelwear.byeye.walk_fields import FieldFrames, MatchTarget, WalkField
from panelwear.byeye.zone_correction import finest_step, onscreen, reach
from panelwear.errors import Stopped, UsageError
from panelwear.folder.panel import Panel
from panelwear.readings.matches import MatchResult
from panelwear.screen.bench import Bench
from panelwear.telling.words import percent, true_minus
from patterns.frame import Rect

LARGEST = 0.15
"""Corrections and contrasts stay within this, whatever the panel could do."""
LEAST_REACH = 0.03
"""Less room than this to either side is no room to match in."""


Outcome = tuple[MatchResult | None, str]
"""The row, ``None`` when it was broken off too early, and one sentence."""


@dataclass(slots=True)
class ZoneMatching:
    """Measures zones on a bench; every run has its own seed, drawn from the session's."""

    bench: Bench
    frames: FieldFrames
    panel: Panel
    edge_px: int
    seed: int
    refused: str = ""
    """Why the answers so far give no result."""
    partial: MatchResult | None = None
    """What a run that Escape ended had found, where that is enough for a result."""
    settings: int = 8
    """Counted settings of a matching."""
    _runs: int = 0

    def measure(
        self, blank: MatchResult, target: MatchTarget, field: WalkField, method: str, worn: Sequence[Rect]
    ) -> Outcome:
        """Run a method; returns the row (``None`` when it was broken off too early) and one sentence.

        Raises:
            UsageError: it cannot be done here, in one sentence.
            Stopped: Escape; ``partial`` has what was found so far.
        """
        self.partial = None
        self._runs += 1
        seed = self.seed + self._runs
        width, height = self.frames.width, self.frames.height
        zone = onscreen(target.rect, width, height)
        curve, _ = self.frames.curve(field.hue)
        limits = self._limits(field)
        unworn = unworn_place(zone, worn, width, height, margin=self.edge_px)
        run = MatchScreen(
            self.bench.screen,
            self.bench.clock,
            self.frames.frame(field),
            zone,
            curve.luminance,
            self.edge_px,
            unworn,
            unworn_pair(zone, worn, width, height, margin=self.edge_px),
        )
        finest = finest_step(curve.luminance, field.code, zone.area)
        notes = [] if unworn else ["no unworn place for sham trials"]
        if zone != target.rect:
            notes.append("part of the zone lies off the screen")
        if finest > MatchPlan().fine_step:
            notes.append(f"the zone's pixels allow steps of {percent(finest)} only")
        row = replace(blank, seed=seed, finest_step_percent=round(finest * 100, 5), note="; ".join(notes))
        runs = {"adjustment": self._adjust, "forced-choice": self._choose, "detection": self._detect}
        return runs[method](run, row, limits)

    def _limits(self, field: WalkField) -> tuple[float, float]:
        curve, _ = self.frames.curve(field.hue)
        low, high = reach(curve.luminance, field.code)
        if min(-low, high) < LEAST_REACH:
            raise UsageError(
                f"drive level {field.code:g} leaves no room to go {'darker' if -low < high else 'brighter'}: "
                "step the level away from the end first"
            )
        return (max(low, -LARGEST), min(high, LARGEST))

    def _adjust(self, run: MatchScreen, row: MatchResult, limits: tuple[float, float]) -> Outcome:
        matching = Matching(
            MatchPlan(settings=self.settings, limits=limits, with_shams=run.unworn is not None), row.seed
        )
        nothing = f"{row.zone}: too few settings for a result, nothing was stored"
        return self._run_to_end(lambda: run.adjust(matching), lambda: from_adjustment(row, matching.result()), nothing)

    def _choose(self, run: MatchScreen, row: MatchResult, limits: tuple[float, float]) -> Outcome:
        choice = PairChoice(ChoicePlan(limits=limits, shams=run.unworn is not None), row.seed)
        nothing = f"{row.zone}: no result by forced choice, nothing was stored"
        return self._run_to_end(lambda: run.choose(choice), lambda: from_choice(row, choice.result()), nothing)

    def _run_to_end(self, run: Callable[[], bool], row_of: Callable[[], MatchResult], nothing: str) -> Outcome:
        """Run a method; ``row_of`` raises ``UsageError`` while there are too few answers for a result."""

        def result_so_far() -> MatchResult | None:
            try:
                return with_visibility(row_of(), self.panel.pitch_mm)
            except UsageError as why:
                self.refused = str(why)
                return None

        try:
            whole = run()
        except Stopped:
            self.partial = result_so_far()
            raise
        self.refused = ""
        row = result_so_far()
        return _ended(row, whole, f"{nothing}: {self.refused}" if self.refused else nothing)

    def _detect(self, run: MatchScreen, row: MatchResult, limits: tuple[float, float]) -> Outcome:
        plan = QuestPlan(largest=limits[1])
        quest = Quest(plan, row.seed)
        whole = run.detect(quest)
        row = row.noted("threshold at about 81 % right")
        enough = len(quest.trials) >= plan.least_trials
        threshold = from_detection(row, quest.result()) if enough else None
        return _ended(threshold, whole, f"{row.zone}: too few answers for a threshold, nothing was stored")


def _ended(row: MatchResult | None, whole: bool, nothing: str) -> Outcome:
    if row is None:
        return None, nothing
    if not whole:
        row = row.noted("stopped early")
    return row, match_sentence(row)


def match_sentence(row: MatchResult) -> str:
    """Say a row in one sentence, every number with its unit and its uncertainty."""
    where = f"{row.zone}, {row.hue} {row.level_cd_m2:.3g} cd/m²"
    if row.method == "detection":
        return (
            f"{where}: you can see {row.own_threshold_percent:.2f} % here "
            f"({row.low_percent:.2f} to {row.high_percent:.2f} %, 95 %)"
        )
    contrast, low, high = (
        true_minus(f"{value:+.2f}") for value in (row.contrast_percent, row.low_percent, row.high_percent)
    )
    sentence = (
        f"{where}: {contrast} % ({low} to {high} %, 95 %), "
        f"visibility {row.visibility_low:.1f} to {row.visibility_high:.1f}: {row.word}"
    )
    if row.own_threshold_percent is not None:
        sentence += f"; your own threshold {row.own_threshold_percent:.2f} %"
    caution = "caution: " if row.sham_found and row.method == "adjustment" else ""
    return f"{sentence}; {caution}{row.shams_told}"
