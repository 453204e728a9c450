"""Where a panel stands: its checkpoints, what is open, what is due, and what to do next."""

from __future__ import annotations

import shlex
from dataclasses import asdict, dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import Any, Literal

from groundwork.documents import printable
from panelwear.errors import PanelwearError
from panelwear.folder import checkpoint
from panelwear.folder.checkpoint import Checkpoint
from panelwear.folder.hours import between_words
from panelwear.folder.odd_start import begun_on
from panelwear.folder.panel import Panel
from panelwear.folder.record import is_interrupted
from panelwear.folder.set_aside import lying_there
from panelwear.folder.shoots import ShootRecord, shoots_of
from panelwear.readings.store import written_at
from panelwear.telling.words import counted
from panelwear.upkeep.check import check, odd_order

Doing = Literal["inspect", "resume", "shoot", "close", "mend", "wait"]


@dataclass(frozen=True, slots=True)
class SessionStanding:
    """One stretch of work of a checkpoint, or a shoot of it."""

    sequence: str
    """Its name; of a shoot ``shoot-1``."""
    is_done: bool


@dataclass(frozen=True, slots=True)
class CheckpointStanding:
    """One checkpoint as its record has it, amendments included."""

    name: str
    date: str
    """Day it was begun, ISO 8601, UTC; empty where its record tells none."""
    hours: float
    """Hours of use; where they are estimated, the middle of their range."""
    hours_kind: str
    """``read``, ``counted`` or ``estimated``."""
    hours_low: float
    """Ends of what they are known within; the hours themselves unless they are estimated."""
    hours_high: float
    cycles: int | None
    sessions: tuple[SessionStanding, ...]
    readings: int
    is_closed: bool
    unfinished: str
    """Sequence of the last session, where it was interrupted and can be gone on with; else empty."""
    unfinished_shoot: str = ""
    """The last shoot, where it was interrupted and can be gone on with, with how far it is; else empty."""


@dataclass(frozen=True, slots=True)
class PanelStatus:
    """Everything about one panel folder that a person asks before an evening's work."""

    panel: str
    width_px: int
    height_px: int
    checkpoints: tuple[CheckpointStanding, ...]
    """By hours, oldest first."""
    set_aside: tuple[str, ...]
    due: str
    """Day the next checkpoint is due, ISO 8601; empty before the first."""
    doing: Doing
    """What to do next, in a word."""
    next_step: str
    """The same in a sentence, with the command that does it."""
    next_in_words: str
    """The same in words, without the command."""
    problems: tuple[str, ...]
    lost: tuple[str, ...] = ()
    """Checkpoints that cannot be read, by name."""
    remarks: tuple[str, ...] = ()
    """What is no fault but has to be known of the checkpoints' hours, a sentence each."""

    def as_json(self) -> dict[str, Any]:
        """Return it as plain values."""
        return asdict(self)


def standing_of(found: Checkpoint) -> CheckpointStanding:
    """Return where one checkpoint stands."""
    record = found.corrected
    shoots = shoots_of(found.directory)
    sessions = [SessionStanding(s["sequence"], s["status"] == "done") for s in record["sessions"]]
    sessions += [SessionStanding(one.shoot, one.missing is None) for one in shoots]
    unfinished = [s["sequence"] for s in record["sessions"][-1:] if is_interrupted(s) and not found.is_closed]
    readings = written_at(found.readings_path).rows if found.readings_path.exists() else 0
    use = found.use
    return CheckpointStanding(
        name=found.name,
        date=begun_on(record),
        hours=use.value,
        hours_kind=use.kind,
        hours_low=use.low,
        hours_high=use.high,
        cycles=record.get("cycles"),
        sessions=tuple(sessions),
        readings=readings,
        is_closed=found.is_closed,
        unfinished="".join(unfinished),
        unfinished_shoot=_left(shoots[-1]) if shoots and not found.is_closed else "",
    )


def _left(last: ShootRecord) -> str:
    """Say how far an interrupted shoot is; empty for a whole one."""
    taken = sum(one.is_done for one in last.shots)
    whole = last.missing is None
    return "" if whole else f"'{last.shoot}' was interrupted with {taken} of {len(last.shots)} photographs taken"


def status_of(panel: Panel, today: date) -> PanelStatus:
    """Ask a panel folder where it stands; nothing in it is changed.

    Args:
        panel: its ``panel.toml``.
        today: decides what is due.
    """
    folder = panel.directory
    problems = list(check(folder).problems)
    found, lost = checkpoint.survey(folder)
    standings = []
    for one in found:
        try:
            standings.append(standing_of(one))
        except PanelwearError as error:
            problems += [p for p in getattr(error, "problems", (str(error),)) if p not in problems]
    due = _due(standings, panel.checkpoint_every_days)
    doing, what, how = next_step(folder, standings, due, today, has_problems=bool(problems))
    return PanelStatus(
        panel=panel.name,
        width_px=panel.width_px,
        height_px=panel.height_px,
        checkpoints=tuple(standings),
        set_aside=tuple(one.checkpoint for one in lying_there(folder)) if not problems else (),
        due=due.isoformat() if due else "",
        doing=doing,
        next_step=what + how,
        next_in_words=what,
        problems=tuple(problems),
        lost=tuple(one.name for one in lost),
        remarks=odd_order(found),
    )


def _due(standings: list[CheckpointStanding], every_days: float) -> date | None:
    begun = [date.fromisoformat(s.date) for s in standings if s.sessions and s.date]
    try:
        return max(begun) + timedelta(days=every_days) if begun else None
    except OverflowError:  # the last days there are: a clock was wrong, and 'check' says so
        return max(begun)


def next_step(
    folder: Path, standings: list[CheckpointStanding], due: date | None, today: date, *, has_problems: bool
) -> tuple[Doing, str, str]:
    """Say what comes next: mend before anything is added, finish what is open, then wait until it is due.

    Returns it in a word, in words, and how it is done by command: the words and what follows them are one sentence.
    """
    here = shlex.quote(printable(str(folder)))
    if has_problems:
        return "mend", "put the files right first", f"; 'panelwear check {here}' lists every fault"
    if not standings or due is None:
        baseline = "the baseline, as early in the panel's life as can be"
        return "inspect", baseline, f": 'panelwear inspect {here} --hours HOURS'"
    still_open = [s for s in standings if not s.is_closed]
    for one in still_open:
        if (left := _interrupted(one, here)) is not None:
            return left
    if still_open:
        how = f": 'panelwear close {here}' seals it once the evening's work is done"
        return "close", f"{still_open[-1].name} is open", how
    days = (due - today).days
    if days > 0:
        return "wait", f"nothing; the next checkpoint is due on {due.isoformat()}, in {counted(days, 'day')}", ""
    since = "today" if days == 0 else f"since {due.isoformat()}, for {counted(-days, 'day')}"
    last = between_words(standings[-1].hours_low, standings[-1].hours_high)
    how = f": 'panelwear inspect {here} --hours HOURS' (it had {last} last time)"
    return "inspect", f"a checkpoint is due {since}", how


def _interrupted(one: CheckpointStanding, here: str) -> tuple[Doing, str, str] | None:
    """Say what of an open checkpoint was interrupted and can be gone on with; ``None``: nothing was."""
    if one.unfinished:
        so_far = f"{counted(one.readings, 'reading')} stored"
        what = f"'{one.unfinished}' of {one.name} was interrupted with {so_far}"
        return "resume", what, f": 'panelwear resume {here}' goes on"
    if one.unfinished_shoot:
        return "shoot", f"{one.name}: {one.unfinished_shoot}", f": 'panelwear camera shoot {here}' goes on"
    return None
