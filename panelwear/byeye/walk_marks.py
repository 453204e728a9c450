"""The marks of a walk: made, taken back and put back; a mark keeps its number whatever happens to the others."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from panelwear.byeye.walk_fields import MatchTarget, OlderMark, Sight, WalkRequest
from panelwear.telling.words import counted
from patterns.frame import Rect

Mark = Sight | OlderMark


@dataclass(slots=True)
class WalkMarks:
    """This session's marks, those that earlier sessions of the checkpoint made, and those taken back."""

    first_number: int = 1
    """Number of this session's first mark."""
    older: tuple[OlderMark, ...] = ()
    sights: list[Sight] = field(default_factory=list)
    _made: int = 0
    """How many marks this session made, those taken back included."""
    _gone: list[Mark] = field(default_factory=list)

    @property
    def last_number(self) -> int:
        """Number of the last mark."""
        return self.sights[-1].number if self.sights else self.first_number - 1

    def add(self, sight: Sight) -> Sight:
        """Take a new mark in and return it with its number."""
        numbered = replace(sight, number=self.first_number + self._made)
        self._made += 1
        self.sights.append(numbered)
        return numbered

    def shown_or_not(self, shown: bool) -> str:
        """Say whether this session's marks are shown."""
        if not self.sights:
            return "Nothing was marked in this session yet."
        count = counted(len(self.sights), "mark")
        return f"{count} of this session: {'shown' if shown else 'hidden'}."

    def targets(self) -> list[MatchTarget]:
        """Return what can be matched of them."""
        older = [mark.target for mark in self.older if mark.target is not None]
        return [*older, *(MatchTarget(s.zone or f"mark-{s.number}", s.drawn.rect) for s in self.sights)]

    def lines(self) -> dict[str, Mark]:
        """Return what can be taken back and put back, newest first, each with the line that offers it."""
        found: dict[str, Mark] = {f"take back {told(sight)}": sight for sight in reversed(self.sights)}
        found |= {f"take back {told(mark)} (earlier session)": mark for mark in reversed(self.older)}
        return found | {f"put back {told(mark)}": mark for mark in reversed(self._gone)}

    def change(self, mark: Mark) -> tuple[str, WalkRequest]:
        """Take a mark back, or put it back; returns what to say and what is to be done with the files."""
        back = mark in self._gone
        if back:
            self._gone.remove(mark)
        else:
            self._gone.append(mark)
        said = f"Put back: {told(mark)}." if back else f"Taken back: {told(mark)}. U can put it back."
        if isinstance(mark, Sight):
            rest = [sight for sight in self.sights if sight != mark]
            self.sights[:] = sorted([*rest, mark], key=lambda s: s.number) if back else rest
            return said, WalkRequest("marks-changed")
        rest_of_older = tuple(m for m in self.older if m != mark)
        self.older = tuple(sorted((*rest_of_older, mark), key=lambda m: m.number)) if back else rest_of_older
        return said, WalkRequest("put-back" if back else "take-back", number=mark.number)


def place_of(mark: Mark) -> Rect | None:
    """Return where a mark lies; ``None`` for one of an earlier session that has become a zone."""
    if isinstance(mark, Sight):
        return mark.drawn.rect
    return None if mark.target is None else mark.target.rect


def told(mark: Mark) -> str:
    """Name a mark to a person."""
    return f"mark {mark.number}: {mark.kind}, {mark.strength}"
