"""One by-eye session on a screen: adapt, walk, mark, match; everything is on the disk as soon as it is found."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import asdict, dataclass, field, replace

from panelwear.byeye import rest
from panelwear.byeye.eye_files import EyeFindings, add_zone, earlier_marks, earlier_matches
from panelwear.byeye.match_rows import growth_sentence, visibility_basis
from panelwear.byeye.walk import Walk
from panelwear.byeye.walk_fields import (
    DARK_ADAPTED_MIN,
    FieldFrames,
    MatchTarget,
    OlderMark,
    Sight,
    WalkField,
    WalkRequest,
    WalkState,
    WalkView,
    fields_of,
    left_off,
)
from panelwear.byeye.walk_marks import WalkMarks
from panelwear.byeye.zone_matching import ZoneMatching, match_sentence
from panelwear.errors import PanelwearError, Stopped, StorageFault
from panelwear.folder.checkpoint import Checkpoint, stamp
from panelwear.folder.panel import Panel
from panelwear.panel.resolve import LevelResolver
from panelwear.readings.marks import Mark
from panelwear.readings.matches import MatchResult
from panelwear.screen.bench import Bench
from panelwear.screen.waiting import is_hand, moments, stop_if_asked
from patterns import build
from patterns.frame import Rect
from sequences.model import Step

OPENING_S = 2.0
"""Window managers move a fresh window about; after so long they have done with it."""
MOVED = "The screen was moved or resized: look whether the field fills this panel, else leave with Q and begin again."
UNTOUCHED_S = 180.0
"""After so long without a hand the screen goes dark by itself: no bright field stays longer than it must."""


@dataclass(slots=True)
class LookJob:
    """What a by-eye session is given."""

    panel: Panel
    checkpoint: Checkpoint
    steps: tuple[Step, ...]
    resolver: LevelResolver
    session: int
    seed: int
    adapt_min: float = 5.0
    """Minutes of adaptation wanted."""
    already_min: float = 0.0
    """Minutes the person has been in the dark already."""
    edge_px: int = 8


@dataclass(slots=True)
class LookSession:
    """Runs the walk on a bench; files and screen are touched here and nowhere else."""

    bench: Bench
    job: LookJob
    findings: EyeFindings = field(init=False)
    frames: FieldFrames = field(init=False)
    matching: ZoneMatching = field(init=False)
    said: list[str] = field(default_factory=list)
    """Sentences for the end."""
    _stamps: dict[int, str] = field(default_factory=dict)
    """When each mark was made, by its number."""

    def __post_init__(self) -> None:
        facts = self.bench.screen.facts
        self.findings = EyeFindings(self.job.checkpoint)
        self.frames = FieldFrames(facts.width_px, facts.height_px, self.job.resolver)
        self.matching = ZoneMatching(self.bench, self.frames, self.job.panel, self.job.edge_px, self.job.seed)

    def adapt(self) -> float:
        """Let the eyes adapt; returns and stores the minutes taken."""
        left = self.job.adapt_min - self.job.already_min
        taken = self.job.already_min
        if left > 0:
            dark = self.job.adapt_min >= DARK_ADAPTED_MIN
            taken += rest.adapt(self.bench.screen, self.bench.clock, left, dark=dark)
        self.job.checkpoint.session["adapted_min"] = round(taken, 2)
        self.job.checkpoint.save()
        return taken

    def walk(self, adapted_min: float) -> None:
        """Walk through the fields until the person leaves (Escape raises ``Stopped``)."""
        facts = self.bench.screen.facts
        old = earlier_marks(self.job.panel.directory, self.job.checkpoint)
        walk = Walk(
            fields_of(self.job.steps, self.job.resolver, adapted_min),
            facts.width_px,
            facts.height_px,
            earlier=tuple(mark.drawn for mark in old),
            zones=(*(MatchTarget(zone.name, zone.rect) for zone in self.job.panel.zones),),
            marks=WalkMarks(
                self.findings.next_mark,
                tuple(
                    OlderMark(m.mark, m.kind, m.strength, None if m.zone else MatchTarget(m.name, m.rect))
                    for m in self.findings.earlier_sessions
                ),
            ),
            resumed=left_off(self.job.checkpoint.record["sessions"]),
            level_of=lambda field: self.frames.light(field)[0],
            began_s=self._now_s(),
        )
        shown: WalkView | None = None
        touched_s = self.bench.clock.monotonic_s()
        # Escape is for the walk first: it leaves a list or a line that is open, and only from a field the screen.
        for events in moments(self.bench.screen, self.bench.clock, look=lambda screen: screen.poll()):
            for event in events:
                if event.kind == "quit" or not walk.can_go_back:
                    stop_if_asked((event,), self.bench.screen)
                if is_hand(event):
                    touched_s = event.at_s
                if event.kind in {"resized", "display-changed"} and event.at_s - walk.began_s > OPENING_S:
                    walk.say(MOVED, event.at_s)
                    self.bench.operator.tell(MOVED)
                walk.handle(event)
            leaving = False
            for request in walk.take_requests():
                leaving |= request.kind == "leave"
                if self._serve(walk, request):
                    shown, touched_s = None, self.bench.clock.monotonic_s()
            self._keep_state(walk.state)
            if leaving:
                return
            now_s = self.bench.clock.monotonic_s()
            if now_s - touched_s > UNTOUCHED_S:
                self._go_dark()
                touched_s, shown = self.bench.clock.monotonic_s(), None
                continue
            shown = self._present(walk.view(now_s), shown)

    def _present(self, wanted: WalkView, shown: WalkView | None) -> WalkView:
        screen = self.bench.screen
        fresh = shown is None or shown.field != wanted.field
        if fresh:
            screen.show(self.frames.frame(wanted.field))
        had = (None, ()) if fresh or shown is None else (shown.card, shown.outlines)
        if (wanted.card, wanted.outlines) != had:
            screen.card(wanted.card, wanted.outlines)
        return wanted

    def go_black(self) -> None:
        """Take all light off the screen, as far as there still is one."""
        with suppress(PanelwearError):
            self.bench.screen.darken()

    def _go_dark(self) -> None:
        """Rest a screen nobody is at, until a hand moves."""
        facts = self.bench.screen.facts
        self.bench.screen.show(build("field", facts.width_px, facts.height_px, codes=(0.0, 0.0, 0.0)))
        for events in moments(self.bench.screen, self.bench.clock):
            if any(is_hand(event) for event in events):
                return

    def _serve(self, walk: Walk, request: WalkRequest) -> bool:
        """Do what the walk asks for; returns whether the screen was used meanwhile."""
        if request.kind == "marks-changed":
            self._keep_marks(walk.sights)
        elif request.kind == "take-back":
            self.findings.take_back(request.number)
        elif request.kind == "put-back":
            self.findings.put_back(request.number)
        elif request.kind == "zone":
            self._make_zone(walk, request)
        elif request.kind == "match" and request.target is not None:
            sentence = self.measure(request.target, walk.field, request.method, [t.rect for t in walk.targets()])
            walk.say(sentence, self.bench.clock.monotonic_s())
            return True
        return False

    def _keep_marks(self, sights: list[Sight]) -> None:
        now = stamp(self.bench.clock.utc())
        self.findings.keep_marks(
            [self._mark(sight.number, self._stamps.setdefault(sight.number, now), sight) for sight in sights]
        )

    def _keep_state(self, state: WalkState) -> None:
        """Note in the checkpoint's record where the walk stands, once that has changed."""
        record = asdict(state) | {"seen": list(state.seen)}
        if self.job.checkpoint.session.get("walk") != record:
            self.job.checkpoint.session["walk"] = record
            self.job.checkpoint.save()

    def _mark(self, number: int, at: str, sight: Sight) -> Mark:
        light, basis = self.frames.light(sight.field)
        panel, drawn = self.job.panel, sight.drawn
        sx, sy = panel.pitch_mm
        return Mark(
            mark=number,
            session=self.job.session,
            time_utc=at,
            field=sight.field.name,
            hue=sight.field.hue,
            code=sight.field.code,
            level_cd_m2=None if light is None else round(light, 4),
            level_basis=basis,
            kind=sight.kind,
            strength=sight.strength,
            shape=drawn.shape,
            x0_px=drawn.x0,
            y0_px=drawn.y0,
            x1_px=drawn.x1,
            y1_px=drawn.y1,
            x0_mm=round(drawn.x0 * sx, 2),
            y0_mm=round(drawn.y0 * sy, 2),
            x1_mm=round(drawn.x1 * sx, 2),
            y1_mm=round(drawn.y1 * sy, 2),
            blind=int(sight.blind),
            zone=sight.zone,
            note=sight.note,
        )

    def _make_zone(self, walk: Walk, request: WalkRequest) -> None:
        path = self.job.panel.directory / "panel.toml"
        sight = walk.sights[request.number]
        comment = f"mark {sight.number} at {self.job.checkpoint.name}: {sight.kind}, {sight.strength}"
        try:
            add_zone(path, request.name, sight.drawn.rect, comment)
        except (OSError, UnicodeDecodeError):
            walk.say("panel.toml cannot be read; the mark is kept, the zone was not made.", self._now_s())
        except PanelwearError as error:
            walk.say(f"{error}.", self._now_s())
        else:
            walk.became_zone(request.number, MatchTarget(request.name, sight.drawn.rect))
            walk.say(f"Zone '{request.name}' stands in panel.toml now.", self._now_s())
            for more in walk.take_requests():
                self._serve(walk, more)

    def _now_s(self) -> float:
        return self.bench.clock.monotonic_s()

    def measure(
        self, target: MatchTarget, field: WalkField, method: str, worn: list[Rect], after_min: float | None = None
    ) -> str:
        """Measure a zone by eye, store the row, and say what came out in one sentence."""
        rects = [r for r in worn if r is not target.rect]
        blank = self._blank(target, field, after_min)
        try:
            row, sentence = self.matching.measure(blank, target, field, method, rects)
        except StorageFault:
            raise
        except Stopped as stop_now:
            if self.matching.partial is not None:
                part = self.matching.partial
                self._keep_match(part.noted("stopped before the end"))
                self.said.append(f"{match_sentence(part)}; stopped before the end")
            raise stop_now
        except PanelwearError as error:
            return str(error)
        if row is not None:
            self._keep_match(row)
            more = growth_sentence(row, earlier_matches(self.job.panel.directory, self.job.checkpoint))
            rests_on = visibility_basis(row, self.job.panel.pitch_mm)
            self.said += [sentence, *filter(None, (more, rests_on))]
            return f"{sentence}. {more}" if more else sentence
        return sentence

    def _keep_match(self, row: MatchResult) -> None:
        self.findings.add_match(replace(row, match=self.findings.next_match, time_utc=stamp(self.bench.clock.utc())))

    def _blank(self, target: MatchTarget, field: WalkField, after_min: float | None) -> MatchResult:
        light, basis = self.frames.light(field)
        rect = target.rect
        return MatchResult(
            match=self.findings.next_match,
            session=self.job.session,
            time_utc=stamp(self.bench.clock.utc()),
            zone=target.name,
            rect_px=f"{rect.x} {rect.y} {rect.w} {rect.h}",
            edge_px=self.job.edge_px,
            method="adjustment",
            after_min=after_min,
            hue=field.hue,
            code=field.code,
            level_cd_m2=round(light or 0.0, 4),
            level_basis=basis,
            distance_mm=self.job.panel.distance_mm,
            seed=self.job.seed,
        )
