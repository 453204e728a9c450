"""The walk through the fields where wear shows: a state machine fed with the screen's own events.

Pure: it is told what happened and when, and tells what is to be seen and what is to be stored. Escape is not handled
here unless something is open that it can go back from: elsewhere it takes the screen away at once.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from panelwear.byeye import placing, walk_cards
from panelwear.byeye.walk_cards import Menu, TextEntry
from panelwear.byeye.walk_fields import (
    CHANNELS,
    MatchTarget,
    Sight,
    WalkField,
    WalkRequest,
    WalkState,
    WalkView,
)
from panelwear.byeye.walk_marks import WalkMarks, place_of
from panelwear.byeye.walk_outlines import Box, box_round, boxes_of, corner_beside, pointer_box
from panelwear.byeye.walk_questions import Asking
from panelwear.readings.marks import KINDS, STRENGTHS, MarkShape
from panelwear.screen.contract import Card, ScreenEvent

HIDE_AFTER_S = 3.0
HELP_AFTER_S = 60.0
"""The help card stays until the next key, or so long."""
EDGE_SHARE = 0.06
"""A click in the outer share of the screen steps to the field before or next."""
TOP_CODE = 255.0


@dataclass(slots=True)
class Walk:
    """The state machine; ``handle`` events, ``view`` what is to be seen, ``take_requests`` what is to be done."""

    fields: tuple[WalkField, ...]
    width: int
    height: int
    earlier: tuple[MarkShape, ...] = ()
    """Marks of the last checkpoint."""
    zones: tuple[MatchTarget, ...] = ()
    """Zones of panel.toml, that can be matched without a mark."""
    resumed: WalkState | None = None
    """Where an earlier session of this checkpoint left off; ``None``: begin at the beginning."""
    level_of: Callable[[WalkField], float | None] = lambda _: None
    """Luminance of a field in cd/m² through the response; ``None``: has none, or is not known."""
    began_s: float = 0.0
    """When the walk begins: the help card stands from then on."""
    marks: WalkMarks = dataclasses.field(default_factory=WalkMarks)
    at: int = 0
    _changed: dict[int, WalkField] = dataclasses.field(default_factory=dict)
    _visited: set[int] = dataclasses.field(default_factory=lambda: {0})
    _requests: list[WalkRequest] = dataclasses.field(default_factory=list)
    _asking: Asking = dataclasses.field(default_factory=Asking)
    _placing: placing.Placing | None = None
    _pending: Sight | None = None
    _said: str = ""
    _overlay: bool = True
    _help: bool = True
    _shows_earlier: bool = False
    _shows_own: bool = False
    _ever_shown_earlier: bool = False
    _fine_wheel: bool = False
    _touched_s: float = -math.inf
    _pointer: tuple[int, int] = (0, 0)
    _pointed_s: float = -math.inf

    def __post_init__(self) -> None:
        self._touched_s = self.began_s
        names = [field.name for field in self.fields]
        if self.resumed is not None and self.resumed.at in names:
            self.at = names.index(self.resumed.at)
            self._visited = {n for n, name in enumerate(names) if name in self.resumed.seen} | {self.at}
            self._ever_shown_earlier = self.resumed.earlier_shown
            if self.looked_through:
                self.at = 0
                return
            self.say(f"Going on at field {self.at + 1} of {len(names)}, where you left off. H: help", self.began_s)

    @property
    def state(self) -> WalkState:
        """Where the walk stands."""
        seen = tuple(self.fields[n].name for n in sorted(self._visited))
        return WalkState(self.fields[self.at].name, seen, self._ever_shown_earlier)

    @property
    def can_go_back(self) -> bool:
        """Whether a list, a line or a shape is open, so that Escape leaves that and not the screen."""
        return self._asking.question is not None or self._placing is not None

    @property
    def field(self) -> WalkField:
        """The field on the screen, its level as stepped to."""
        return self._changed.get(self.at, self.fields[self.at])

    @property
    def looked_through(self) -> bool:
        """Whether every field has been seen."""
        return len(self._visited) == len(self.fields)

    @property
    def sights(self) -> list[Sight]:
        """Marks of this session."""
        return self.marks.sights

    def targets(self) -> tuple[MatchTarget, ...]:
        """Return what can be matched: the panel's zones and the marks that are not zones yet."""
        there = {zone.name for zone in self.zones}
        return (*self.zones, *(m for m in self.marks.targets() if m.name not in there))

    def take_requests(self) -> tuple[WalkRequest, ...]:
        """Hand out what is to be done, once."""
        out, self._requests = tuple(self._requests), []
        return out

    def say(self, sentence: str, now_s: float) -> None:
        """Show one sentence on the status card."""
        self._said, self._touched_s, self._help = sentence, now_s, False

    def handle(self, event: ScreenEvent) -> None:
        """Take one event of the screen in."""
        if event.kind in {"key", "wheel", "pointer-down", "pointer-up", "text"}:
            self._touched_s = event.at_s
        elif event.kind == "pointer-move":
            self._pointer, self._pointed_s = (event.x, event.y), event.at_s
        self._asking.press(event)
        if self._asking.question is not None:
            if self._asking.handle(event):
                self._pending = None
                self._said = "Nothing was changed."
        elif self._placing is not None:
            self._place(event)
        else:
            self._watch(event)

    def _watch(self, event: ScreenEvent) -> None:
        if event.kind in {"key", "wheel", "pointer-down"}:
            self._said = ""
            if not (event.kind == "key" and event.key in {"h", "f1"}):
                self._help = False
        if event.kind == "wheel":
            fine = event.shift or self._fine_wheel
            self._step_level((1 if event.button > 0 else -1) * (0.25 if fine else 1))
        elif event.kind == "pointer-down" and event.button == 2:
            self._fine_wheel = not self._fine_wheel
            self._said = (
                f"The wheel now steps {'a quarter of a drive level' if self._fine_wheel else 'one drive level'}."
            )
        elif event.kind == "pointer-down" and event.button in {1, 3}:
            self._placing = placing.by_pointer(event)
        elif event.kind == "key":
            self._key(event)

    def _key(self, event: ScreenEvent) -> None:
        sign = {"up": 1, "down": -1, "page-up": 10, "page-down": -10}.get(event.key)
        if sign is not None:
            self._step_level(sign * (0.25 if event.shift else 1))
            return
        command = walk_cards.KEYS.get(event.key)
        if command:
            self.do(command)

    def do(self, command: str) -> None:
        """Carry out a command by its name in ``walk_cards.COMMANDS``."""
        if command == "mark":
            self._placing = placing.by_keys(self.width, self.height)
        elif command == "leave":
            self._requests.append(WalkRequest("leave"))
        elif command == "help":
            self._help = not self._help
        elif command == "overlay":
            self._overlay = not self._overlay
        elif command == "own":
            self._own()
        else:
            {
                "next": lambda: self._go(1),
                "previous": lambda: self._go(-1),
                "menu": self._open_menu,
                "channel": self._channel,
                "undo": self._undo,
                "match": self._match,
                "note": self._note,
                "zone": self._zone,
                "earlier": self._earlier,
            }[command]()

    def _go(self, by: int) -> None:
        to = self.at + by
        if 0 <= to < len(self.fields):
            self.at = to
            self._visited.add(to)
        elif by > 0:
            self._said = "That was the last field. Q: done for now."
        else:
            self._said = "This is the first field."

    def _step_level(self, by: float) -> None:
        field = self.field
        if not field.has_level:
            self._said = "A ramp shows all levels at once; its level cannot be stepped."
            return
        code = min(max(field.code + by, 0.0), TOP_CODE)
        self._changed[self.at] = replace(field, code=code)

    def _channel(self) -> None:
        field = self.field
        hue = CHANNELS[(CHANNELS.index(field.hue) + 1) % len(CHANNELS)] if field.hue in CHANNELS else "grey"
        self._changed[self.at] = replace(field, hue=hue)

    def _earlier(self) -> None:
        if not self.earlier:
            self._said = "There are no marks from an earlier checkpoint."
        elif not self.looked_through and not self._ever_shown_earlier:
            left = len(self.fields) - len(self._visited)
            self._said = f"First look without them: {left} fields to go, then E shows the earlier marks."
        else:
            self._shows_earlier = not self._shows_earlier
            self._ever_shown_earlier = True

    def _own(self) -> None:
        self._shows_own = bool(self.sights) and not self._shows_own
        self._said = self.marks.shown_or_not(self._shows_own)

    def _open_menu(self) -> None:
        lines = tuple(line for _, line in walk_cards.COMMANDS)
        names = {line: name for name, line in walk_cards.COMMANDS}
        self._asking.ask(Menu(walk_cards.MENU_TITLE, lines), lambda line: self.do(names[line]))

    def _place(self, event: ScreenEvent) -> None:
        assert self._placing is not None  # noqa: S101
        now = placing.handle(self._placing, event, self.width, self.height)
        self._placing = now if now.outcome == "open" else None
        if now.outcome == "dropped":
            self._said = "No mark was made."
        elif now.outcome == "placed":
            self._describe(now.drawn)
        elif now.outcome == "clicked":
            self._clicked(event)

    def _clicked(self, event: ScreenEvent) -> None:
        if event.button == 3:
            self._open_menu()
        elif event.x < self.width * EDGE_SHARE:
            self._go(-1)
        elif event.x >= self.width * (1 - EDGE_SHARE):
            self._go(1)
        else:
            self._describe(placing.spot(event.x, event.y).clipped(self.width, self.height))

    def _describe(self, drawn: MarkShape) -> None:
        self._pending = Sight(self.field, drawn, blind=not self._ever_shown_earlier)
        small = max(drawn.rect.w, drawn.rect.h) <= placing.SPOT_PX
        likely = "pixel fault" if small else "line" if drawn.shape == "line" else "band"
        self._asking.ask(Menu("What is it?", KINDS, KINDS.index(likely)), self._kind)

    def _kind(self, kind: str) -> None:
        assert self._pending is not None  # noqa: S101
        self._pending = replace(self._pending, kind=kind)
        self._asking.ask(Menu(f"{kind}: how strong?", STRENGTHS), self._strength)

    def _strength(self, strength: str) -> None:
        assert self._pending is not None  # noqa: S101
        sight = self.marks.add(replace(self._pending, strength=strength))
        self._pending = None
        self._marks_changed(f"Mark {sight.number} is stored: {sight.kind}, {strength}. U takes it back, N matches it.")

    def _marks_changed(self, sentence: str) -> None:
        self._said = sentence
        self._requests.append(WalkRequest("marks-changed"))

    def _undo(self) -> None:
        lines = self.marks.lines()
        if not lines:
            self._said = "There is no mark to take back."
            return

        def picked(line: str) -> None:
            self._said = "Nothing was changed."
            if line in lines:
                self._said, request = self.marks.change(lines[line])
                self._requests.append(request)

        places = (None, *(place_of(mark) for mark in lines.values()))
        self._asking.ask(Menu("Take back which mark?", (walk_cards.KEEP, *lines), places=places), picked)

    def _change_last(self, note: str) -> None:
        self.sights[-1] = replace(self.sights[-1], note=note)
        self._marks_changed(f"Noted on mark {self.marks.last_number}.")

    def _note(self) -> None:
        if not self.sights:
            self._said = "Mark something first; then a note can be added to it."
            return

        title = f"Note on mark {self.marks.last_number}"
        self._asking.ask(TextEntry(title, self.sights[-1].note, offers=walk_cards.NOTES), self._change_last)

    def _match(self) -> None:
        there = self.targets()
        if not there:
            self._said = "Mark something first (M, or drag); then it can be matched."
            return
        if not self.field.has_level:
            self._said = "Matching needs a flat field: go to one first."
            return
        methods = {line: name for name, line in walk_cards.METHODS}

        def picked(name: str) -> None:
            target = next(t for t in there if t.name == name)
            self._asking.ask(
                Menu(f"Measure {name} by eye", tuple(methods), places=(target.rect,) * len(methods)),
                lambda line: self._requests.append(WalkRequest("match", target, methods[line])),
            )

        names, places = tuple(t.name for t in there), tuple(t.rect for t in there)
        self._asking.ask(Menu("Which one?", names, len(there) - 1, places=places), picked)

    def _zone(self) -> None:
        free = {f"mark {s.number}: {s.kind}": n for n, s in enumerate(self.sights) if not s.zone}
        if not free:
            self._said = "Every mark is a zone already." if self.sights else "Mark something first."
            return

        def picked(line: str) -> None:
            number = free[line]
            taken = {t.name for t in self.zones}
            first = self.sights[number].number
            name = next(n for n in (f"seen-{k}" for k in range(first, 9999)) if n not in taken)
            self._asking.ask(
                TextEntry("Name of the zone (one word), then Return or click", name),
                lambda text: self._requests.append(WalkRequest("zone", number=number, name=text)),
            )

        places = tuple(self.sights[n].drawn.rect for n in free.values())
        self._asking.ask(Menu("Which mark becomes a zone?", tuple(free), len(free) - 1, places=places), picked)

    def became_zone(self, number: int, target: MatchTarget) -> None:
        """Remember that a mark has become a zone."""
        self.sights[number] = replace(self.sights[number], zone=target.name)
        self.zones = (*self.zones, target)
        self._requests.append(WalkRequest("marks-changed"))

    def view(self, now_s: float) -> WalkView:
        """Return what is to be on the screen at a time: the field, a card unless a hand draws, and outlines."""
        card = self._card(now_s)
        moving = self._placing is not None and now_s - self._touched_s >= HIDE_AFTER_S
        if self._asking.question is None and (moving or self._is_pointing(now_s)):
            card = None
        return WalkView(self.field, card, self._outlines(now_s))

    def _is_pointing(self, now_s: float) -> bool:
        return self._pointed_s > self._touched_s and now_s - self._pointed_s < HIDE_AFTER_S

    def _outlines(self, now_s: float) -> tuple[Box, ...]:
        if self._asking.question is not None:
            return self._pointed()
        shapes = list(self.earlier) if self._shows_earlier else []
        shapes += [sight.drawn for sight in self.sights] if self._shows_own else []
        if self._placing is not None:
            return boxes_of([*shapes, self._placing.drawn])
        # While a card is read nothing is drawn about the pointer: it chooses nothing there.
        pointer = (pointer_box(self._pointer, self.height),) if self._is_pointing(now_s) else ()
        return (*boxes_of(shapes), *pointer)

    def _pointed(self) -> tuple[Box, ...]:
        """Outline the mark that is being described, or what the open list points at."""
        if self._pending is not None:
            return boxes_of([self._pending.drawn])
        rect = self._asking.question.pointed if isinstance(self._asking.question, Menu) else None
        return () if rect is None else (box_round(rect),)

    def _card(self, now_s: float) -> Card | None:
        if self._asking.question is not None:
            return self._asking.question.card(corner_beside(self._pointed(), self.width))
        if self._placing is not None:
            # Nothing is said during a drag, or once a key has moved the shape: the eye is on the zone.
            fresh = self._placing.by_keys and not self._placing.moved
            return Card((walk_cards.PLACING_KEYS,)) if fresh else None
        since = now_s - self._touched_s
        if self._help and since < HELP_AFTER_S:
            return Card(walk_cards.HELP, walk_cards.HELP_TITLE)
        if since < HIDE_AFTER_S and (self._overlay or self._said):
            return Card(self._status(), corner="bottom-left")
        return None

    def _status(self) -> tuple[str, ...]:
        field = self.field
        level = f"{field.hue}, drive level {field.code:.4g}" if field.has_level else field.pattern.replace("-", " ")
        light = self.level_of(field)
        level += "" if light is None else f", {light:.3g} cd/m²"
        first = f"field {self.at + 1} of {len(self.fields)} · {level}"
        return (first, self._said) if self._said else (first, "H: help")
