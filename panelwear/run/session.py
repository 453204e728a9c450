"""Run one session of a checkpoint, from its beginning or from where it was interrupted."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import closing
from dataclasses import asdict, dataclass
from typing import Any

from groundwork.tables import read
from panelwear.atomic import sha256_of
from panelwear.errors import FileFault, PanelwearError, Stopped, UsageError
from panelwear.folder.checkpoint import RECORD, Checkpoint, all_of, last_answers, stamp
from panelwear.folder.evening import given_this_evening, of_this_evening
from panelwear.folder.integrity import readings_faults
from panelwear.folder.panel import Panel, ProbeSettings
from panelwear.folder.zone_places import as_recorded, recorded_too
from panelwear.panel.noise import NoiseModel
from panelwear.panel.resolve import Resolver, recall
from panelwear.probe_border import probe_words
from panelwear.readings import store
from panelwear.readings.row import Row
from panelwear.run.ended import ended_by
from panelwear.run.engine import Engine
from panelwear.run.interruption import Choice, choose_warm_up, interrupted_s
from panelwear.run.meter import same_meter
from panelwear.run.resume import Done, other_step, resume_point
from panelwear.run.state import RunState
from panelwear.run.steps.implausible import ACCEPTED, recall_accepted
from panelwear.screen.bench import Bench
from panelwear.screen.operator import Operator
from probe_io.errors import ProbeError
from probe_io.reading import ProbeIdentity
from sequences.model import Step
from sequences.place_names import route

KEPT = ("held", "settling", "placements", ACCEPTED)
"""What steps found and kept with the session, and look up again; a resumed run goes on with it."""

NOTED_EVERY = 25
"""Rows after which the record on the disk says anew how far the readings are written."""


@dataclass(frozen=True, slots=True)
class Job:
    """What is to be run."""

    panel: Panel
    checkpoint: Checkpoint
    probe_settings: ProbeSettings
    sequence: str
    """Name of the sequence."""
    source: bytes
    """The sequence file, as it is stored with the checkpoint."""
    steps: tuple[Step, ...]
    seed: int
    resolver: Resolver
    probe_identity: ProbeIdentity | None = None
    unattended: bool = False
    warm_up_minutes: float | None = None
    """Instead of the sequence's; shorter than that, every row is flagged ``not-settled``."""
    warm_up_choice: str = ""
    """Of a resumed session: ``auto`` chooses between a short watch and the warm-up."""
    known_cd_m2: tuple[tuple[str, float], ...] = ()
    """What the order of loading patches was made from; kept, so that a resume expands to the same steps."""
    locate: bool = False
    """Find the probe with the screen after each placement."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of it."""

    checkpoint: Checkpoint
    session: int
    rows: tuple[Row, ...]


def _probe_facts(job: Job) -> dict[str, Any]:
    settings, identity = job.probe_settings, job.probe_identity
    facts: dict[str, Any] = {"aperture_mm": settings.aperture_mm, "calibrated": settings.calibrated}
    facts["serial_as_stated"] = settings.serial
    if identity is not None:
        facts |= {**asdict(identity), "reply": identity.reply.decode("ascii", "backslashreplace")}
    return facts


def _probe_in_use(job: Job) -> str:
    return "" if job.probe_identity is None else probe_words(job.probe_identity, job.probe_settings.serial)


def _digests(job: Job) -> dict[str, str]:
    folder = job.panel.directory
    found = {"panel.toml": folder / "panel.toml", "probe.toml": folder / "probe.toml"}
    digests = {name: sha256_of(path) for name, path in found.items() if path.exists()}
    if job.probe_settings.correction:
        from panelwear.colorimetry.correction import load_correction

        # Of the matrix, not of the file: a comment more in the file changes no figure.
        digests["correction"] = load_correction(folder / job.probe_settings.correction).digest()
    return digests


def _earlier_sessions(job: Job, session: int) -> list[dict[str, Any]]:
    """Collect the records of all sessions before this one, oldest first."""
    others = [c for c in all_of(job.panel.directory) if c.name != job.checkpoint.name]
    found = [record for c in others for record in c.record.get("sessions", [])]
    return found + [r for r in job.checkpoint.record["sessions"] if r["number"] < session]


def _state(bench: Bench, job: Job, steps: tuple[Step, ...], session: int, earlier: list[dict[str, Any]]) -> RunState:
    state = RunState(
        panel=job.panel,
        checkpoint=job.checkpoint,
        probe_settings=job.probe_settings,
        steps=steps,
        every_step=job.steps,
        resolver=job.resolver,
        width_px=bench.screen.facts.width_px,
        height_px=bench.screen.facts.height_px,
        session=session,
        has_probe=bench.probe is not None,
        probe=_probe_in_use(job),
        last_answers=last_answers(job.panel.directory, job.checkpoint),
        given=given_this_evening(job.checkpoint, bench.clock.utc(), session),
        guided=any("link" in r.get("probe", {}) for r in of_this_evening(job.checkpoint, bench.clock.utc(), session)),
        route=route(job.steps),
        scaled=bench.screen.facts.scaled,
        off_screen=bench.screen.facts.off_screen and bench.clock.fast,
        unattended=job.unattended,
        warm_up_minutes=job.warm_up_minutes,
        locate=job.locate,
        meter=job.probe_identity,
        earlier_placements=tuple(r["placements"] for r in earlier if "placements" in r),
    )
    for sentence in recall(state.resolver, earlier):
        bench.operator.tell(sentence)
    return state


def _cut_torn_tail(bench: Bench, checkpoint: Checkpoint) -> None:
    """Cut what a kill or a full disk left of a line, so that no new row is glued onto it."""
    if checkpoint.readings_path.exists():
        torn = store.cut_torn_tail(checkpoint.readings_path)
        if torn is not None:
            bench.operator.tell(f"the last line was torn; its bytes were kept in {torn.name}")


def _refuse_changed(checkpoint: Checkpoint) -> None:
    """Refuse to write behind readings that are not those that were stored."""
    if faults := readings_faults(checkpoint):
        end = "then this goes on; or 'panelwear close' with --as-it-is ends the checkpoint as it is"
        raise FileFault(tuple(f"{checkpoint.name}/{fault}: {end}" for fault in faults))


def note_warm_up(person: Operator, record: dict[str, Any], warm: Choice, first_row: int, job: Job) -> None:
    """Say and record how a resumed session warms up."""
    minutes = job.warm_up_minutes
    how = "watched until steady" if warm.short else "as planned" if minutes is None else f"{minutes:g} min"
    if job.warm_up_choice:
        person.tell(f"warm-up: {how} ({warm.why})")
    noted = {"from_row": first_row, "how": how, "why": warm.why, "interrupted_s": warm.interrupted_s}
    record["warm_up_resumed"] = [*record.get("warm_up_resumed", []), noted]


def _other_meters(bench: Bench, job: Job, earlier: list[tuple[str, dict[str, Any]]]) -> tuple[str, ...]:
    return same_meter(bench.operator, job.probe_identity, job.probe_settings.serial, earlier)


def run_checkpoint(bench: Bench, job: Job) -> Outcome:
    """Begin a session and run it; the rows read so far are stored whatever happens."""
    checkpoint = job.checkpoint
    if checkpoint.is_closed:
        raise UsageError(f"{checkpoint.name} is closed; a new checkpoint needs other hours")
    _refuse_changed(checkpoint)
    earlier = _earlier_sessions(job, len(checkpoint.record["sessions"]) + 1)
    last = [r for r in earlier if r.get("probe", {}).get("model")]
    others = _other_meters(bench, job, [("in the session before", last[-1]["probe"])] if last else [])
    _cut_torn_tail(bench, checkpoint)
    before = len(checkpoint.rows())
    facts = {
        "screen": asdict(bench.screen.facts),
        "probe": _probe_facts(job),
        "digests": _digests(job),
        "steps": len(job.steps),
        "warm_up_minutes": job.warm_up_minutes,
        "known_cd_m2": [list(pair) for pair in job.known_cd_m2],
        "locate": job.locate,
        "zones": as_recorded(job.panel.zones),
    }
    if others:
        facts["other_meters"] = [{"from_row": before + 1, "said": said} for said in others]
    now = bench.clock.utc()
    session = checkpoint.begin_session(sequence=job.sequence, source=job.source, seed=job.seed, now=now, facts=facts)
    checkpoint.begin_segment(before + 1, "start", now)
    state = _state(bench, job, job.steps, session["number"], earlier)
    state.other_meter = bool(others)
    return _drive(bench, job, state, first_row=before + 1)


def resume_checkpoint(bench: Bench, job: Job) -> Outcome:
    """Go on with the last session: repeat the warm-up, then the unfinished visit or quadruple."""
    checkpoint = job.checkpoint
    if checkpoint.is_closed:
        raise UsageError(f"{checkpoint.name} is closed; nothing in it is read again")
    record = checkpoint.session
    number = record["number"]
    _refuse_changed(checkpoint)
    others = _other_meters(bench, job, [("when this session began", record.get("probe", {}))])
    _cut_torn_tail(bench, checkpoint)
    stored = checkpoint.rows()
    mine = [row for row in stored if row.session == number]
    if other := other_step(job.steps, mine):
        raise UsageError(
            f"{checkpoint.name}: session {number} was begun with other steps ({other}), so it cannot be gone on with; "
            "begin it again with 'panelwear inspect', or close the checkpoint as it is"
        )
    held = [entry["step"] for entry in record.get("held", [])]
    point = resume_point(job.steps, mine, Done("answers" in record, "room" in record, held))
    keep = len(stored) - len(mine) + point.keep_rows

    def make_room() -> None:
        """Move the unfinished visit aside; only now, when its first new row is there to take its place."""
        if checkpoint.readings_path.exists():
            # Noted before anything is moved: whenever the run is killed, the file holds at least what the record says.
            checkpoint.note_written(store.written_at(checkpoint.readings_path, keep))
            checkpoint.save()
            aside = store.set_aside(checkpoint.readings_path, keep)
            if aside is not None:
                bench.operator.tell(f"rows of the unfinished visit were moved to {aside.name}; they are read again")
        checkpoint.begin_segment(keep + 1, f"resumed, {point.why}", bench.clock.utc())

    ended = record.get("ended_by") or "without a word: a kill or the power"
    bench.operator.tell(f"session {number} was interrupted ({ended}); it goes on {point.why}")
    for sentence in screen_differences(record.get("screen", {}), asdict(bench.screen.facts)):
        bench.operator.tell(sentence)
    if others:
        noted = [{"from_row": keep + 1, "said": said} for said in others]
        record["other_meters"] = [*record.get("other_meters", []), *noted]
    away_s = interrupted_s(record, mine, bench.clock.utc())
    warm = choose_warm_up(job.warm_up_choice, record, away_s, point.steps, bench.operator)
    note_warm_up(bench.operator, record, warm, keep + 1, job)
    record["status"] = "running"
    if "zones" in record:  # one of before they were kept does not tell where they lay when it began
        record["zones"] = recorded_too(record["zones"], job.panel.zones)
    checkpoint.save()
    state = _state(bench, job, point.steps, number, _earlier_sessions(job, number))
    state.other_meter, state.short_warm_up = bool(others), warm.short
    state.facts.update({k: record[k] for k in KEPT if k in record})
    recall_accepted(state)
    state.locate = bool(record.get("locate", job.locate))
    if "noise" in record:
        state.noise = read(NoiseModel, record["noise"], f"{RECORD}: noise", FileFault)
    for row in mine[: point.keep_rows]:
        state.remember(row)
    return _drive(bench, job, state, first_row=keep + 1, make_room=make_room)


SAME = {
    "name": "the output the monitor hangs on",
    "monitor_sha256": "the monitor",
    "colour_table_sha256": "the graphics card's colour table",
}
"""What of the screen is to be the same from the beginning of a session to its end."""


def screen_differences(then: dict[str, Any], now: dict[str, Any]) -> list[str]:
    """Say what of the screen is not as it was when the session began; what nothing tells of is passed over.

    Args:
        then: The screen as the session's record holds it.
        now: The screen as it was found just now.
    """
    return [
        f"{what} is another than when this session began: readings before and after this may not be comparable; "
        "put it back, or begin a new session with 'panelwear inspect'"
        for key, what in SAME.items()
        if then.get(key) and now.get(key) and then[key] != now[key]
    ]


class _Journal:
    """The journal of a run, opened when the first row is there; until then the folder stays as it was."""

    def __init__(self, checkpoint: Checkpoint, make_room: Callable[[], None] | None) -> None:
        self._checkpoint = checkpoint
        self._make_room = make_room
        self._store: store.Store[Row] | None = None if make_room is not None else checkpoint.open_journal()
        self._unsaved = 0

    def append(self, row: Row) -> None:
        """Store one row."""
        if self._store is None:
            if self._make_room is not None:
                self._make_room()
            self._store = self._checkpoint.open_journal()
        self._store.append(row)
        self._checkpoint.note_written(self._store.written)
        self._unsaved += 1
        if self._unsaved >= NOTED_EVERY:
            self._checkpoint.save()
            self._unsaved = 0

    def close(self) -> None:
        """Let the file go; how far it was written is saved with the end of the session."""
        if self._store is not None:
            self._store.close()


def _drive(
    bench: Bench, job: Job, state: RunState, first_row: int, make_room: Callable[[], None] | None = None
) -> Outcome:
    checkpoint = job.checkpoint
    status = "stopped"
    checkpoint.session.pop("ended_by", None)
    try:
        with closing(_Journal(checkpoint, make_room)) as journal:
            Engine(bench, state, journal).run(first_row)
        status = "done"
    except (PanelwearError, ProbeError) as error:
        checkpoint.session["ended_by"] = str(error)
        ended = ended_by(error, str(job.panel.directory), state.stored)
        if ended is error:
            raise
        raise ended from error
    except KeyboardInterrupt as error:
        checkpoint.session["ended_by"] = "Ctrl-C"
        stopped = Stopped("stopped by Ctrl-C; everything up to here is kept")
        raise ended_by(stopped, str(job.panel.directory), state.stored) from error
    finally:
        checkpoint.session["status"] = status
        checkpoint.session["ended_utc"] = stamp(bench.clock.utc())
        checkpoint.save()
    return Outcome(checkpoint, state.session, tuple(state.rows))
