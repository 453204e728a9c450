"""Look at the panel with the eye: walk through the fields where wear shows, mark it, measure it by matching."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from panelwear.commands.run_options import add_hours_argument, add_sure_argument, wishes_of
from panelwear.errors import FileFault, UsageError
from panelwear.telling.out import tell
from panelwear.telling.parts import paragraphs
from panelwear.telling.words import counted

if TYPE_CHECKING:
    from panelwear.byeye.look_session import LookSession
    from panelwear.byeye.walk_fields import WalkField
    from panelwear.folder.checkpoint import Checkpoint
    from panelwear.folder.panel import Panel
    from panelwear.screen.bench import Bench
    from sequences.model import Step

DEFAULT_AT = "grey:128"
MAP_BYTES = 5_000_000
"""Room for marks, matches, record and the map; none of them was ever near a megabyte."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("directory", metavar="DIR", type=Path, help="panel folder (panelwear new)")
    add_hours_argument(parser)
    parser.add_argument("--cycles", type=int, metavar="C", help="compensation cycles, if the panel counts them")
    add_sure_argument(parser)
    parser.add_argument(
        "--adapt", type=float, metavar="MIN", help="minutes for the eyes (5; 20 or more: near-black fields come first)"
    )
    parser.add_argument("--match", metavar="ZONE", help="no walk: measure this zone or mark at once")
    parser.add_argument("--null", dest="match", help=argparse.SUPPRESS)  # its name in version 0.1.0
    parser.add_argument(
        "--at", action="append", metavar="HUE:CODE", help=f"field for --match and --recheck, repeatable ({DEFAULT_AT})"
    )
    parser.add_argument(
        "--method",
        choices=("adjustment", "forced-choice", "detection"),
        default="adjustment",
        help="how --match measures (adjustment)",
    )
    parser.add_argument(
        "--settings",
        type=int,
        metavar="N",
        help="settings that count in a matching: even, at least 6 (8; a recheck 6)",
    )
    parser.add_argument(
        "--recheck", action="store_true", help="match the zone at 0, 15, 30 and 60 min of rest: retention or burn-in?"
    )
    parser.add_argument("--edge", type=int, metavar="PX", help="soft edge of corrections: the pixel shift's reach (8)")
    parser.add_argument("--sequence", default="by-eye", metavar="NAME|FILE", help="fields of the walk (by-eye)")
    parser.add_argument("--seed", type=int, help="seed of orders and starting points (drawn and recorded)")
    parser.add_argument("--screen", type=int, metavar="N", help="monitor, as 'panelwear screens' counts")
    parser.add_argument("--allow-scaled", action="store_true", help="go on when pixels are scaled")
    parser.add_argument("--borderless", action="store_true", help="a frameless window, for stubborn window managers")
    parser.add_argument("--yes", action="store_true", help="take all defaults, do not wait at the caution")


def run(arguments: argparse.Namespace) -> int:
    """Run a by-eye session; Escape leaves with ``Stopped`` once everything is wound up."""
    from panelwear.folder.lock import hold
    from panelwear.folder.panel import load_panel
    from panelwear.folder.space import refuse_without_room
    from panelwear.run import opening

    panel = load_panel(arguments.directory)
    fields = _fields(arguments)
    _check(arguments)
    refuse_without_room(panel.directory, MAP_BYTES)
    wishes = wishes_of(arguments)
    with hold(panel.directory):
        source, steps = _sequence(arguments.sequence, panel)
        with opening.open_visible(panel, wishes) as (screen, operator):
            bench = opening.bench_of(screen, operator, None)
            opening.confirm_hours(panel.directory, arguments.hours, None if arguments.yes else operator, arguments.sure)
            opening.tell_overlap(panel.directory, arguments.hours, operator)
            checkpoint = _checkpoint(arguments, panel, bench)
            session = _session(arguments, panel, checkpoint, bench, (source, steps))
            whole = False
            try:
                _look(arguments, session, fields)
                whole = True
            finally:
                # Before the screen is closed: a driver whose monitor is gone may take the whole program with it.
                session.go_black()
                tell(paragraphs(*_wind_up(session, whole)))
    return 0


def _check(arguments: argparse.Namespace) -> None:
    if arguments.adapt is not None and not 0 <= arguments.adapt <= 120:
        raise UsageError(f"--adapt {arguments.adapt:g}: minutes lie within 0..120")
    if arguments.edge is not None and not 0 <= arguments.edge <= 200:
        raise UsageError(f"--edge {arguments.edge}: pixels lie within 0..200")
    if arguments.settings is not None and (not 6 <= arguments.settings <= 40 or arguments.settings % 2):
        raise UsageError(f"--settings {arguments.settings}: an even number from 6 to 40, half from either side")
    if arguments.recheck and arguments.method != "adjustment":
        raise UsageError("--recheck matches by adjustment; leave --method away")


def _fields(arguments: argparse.Namespace) -> list[WalkField]:
    from panelwear.byeye.retention_looks import flat_field
    from panelwear.byeye.walk_fields import CHANNELS

    found = []
    for text in arguments.at or [DEFAULT_AT]:
        hue, _, code = text.partition(":")
        try:
            value = float(code)
        except ValueError:
            value = -1.0
        if hue not in CHANNELS or not 0 <= value <= 255:
            raise UsageError(
                f"--at {text}: write it as HUE:CODE, such as grey:128, with a hue of {', '.join(CHANNELS)}"
            )
        found.append(flat_field(hue, value))
    return found


def _sequence(name: str, panel: Panel) -> tuple[bytes, tuple[Step, ...]]:
    from sequences import errors, expand, reader

    try:
        raw = reader.find(name).read_bytes()
        return raw, expand.expand(reader.parse(raw, name), panel.facts(), 1)
    except errors.SequenceError as error:
        raise FileFault(error.problems) from None


def _checkpoint(arguments: argparse.Namespace, panel: Panel, bench: Bench) -> Checkpoint:
    from groundwork.clock import local_now
    from panelwear.folder import checkpoint

    now = local_now(bench.clock)
    return checkpoint.open_or_create(panel.directory, panel.name, arguments.hours, arguments.cycles, now)


def _session(
    arguments: argparse.Namespace,
    panel: Panel,
    checkpoint: Checkpoint,
    bench: Bench,
    fields: tuple[bytes, tuple[Step, ...]],
) -> LookSession:
    from dataclasses import asdict

    from panelwear.byeye.look_session import LookJob, LookSession
    from panelwear.byeye.preparation import ask_person, known_response, say_cautions
    from panelwear.run.plan import new_seed
    from panelwear.screen.evening import Evening

    if checkpoint.is_closed:
        raise UsageError(f"{checkpoint.name} is closed; a new checkpoint needs other hours (--hours H)")
    source, steps = fields
    say_cautions(bench, None if arguments.yes else Evening.of_the_user())
    answers = ask_person(bench, panel, checkpoint)
    seed = new_seed() if arguments.seed is None else arguments.seed
    session = checkpoint.begin_session(
        sequence=arguments.sequence,
        source=source,
        seed=seed,
        now=bench.clock.utc(),
        # Whatever ends a look, there is nothing to resume: all it found is stored as it is found.
        facts={"kind": "look", "status": "done", "screen": asdict(bench.screen.facts), "answers": answers},
    )
    edge_px = arguments.edge if arguments.edge is not None else (0 if answers.get("pixel_shift") == "no" else 8)
    job = LookJob(
        panel=panel,
        checkpoint=checkpoint,
        steps=steps,
        resolver=known_response(panel, checkpoint, bench.operator.tell),
        session=session["number"],
        seed=seed,
        adapt_min=5.0 if arguments.adapt is None else arguments.adapt,
        already_min=float(answers.get("adaptation_min") or 0.0),
        edge_px=edge_px,
    )
    look = LookSession(bench, job)
    look.matching.settings = arguments.settings or look.matching.settings
    return look


def _look(arguments: argparse.Namespace, session: LookSession, fields: list[WalkField]) -> None:
    from panelwear.byeye.retention_looks import choose_target, measure_retention

    target = None
    if arguments.match or arguments.recheck:
        target = choose_target(session, arguments.match)
    adapted = session.adapt()
    if target is None:
        session.walk(adapted)
        return
    worn = [zone.rect for zone in session.job.panel.zones]
    for field in fields:
        if arguments.recheck:
            session.bench.operator.tell(measure_retention(session, target, field, arguments.settings))
        else:
            session.bench.operator.tell(session.measure(target, field, arguments.method, worn))


def _wind_up(session: LookSession, whole: bool) -> list[str]:
    """Mark the session as ended, draw the map, and sum up."""
    from panelwear.byeye.eye_files import compared_marks, earlier_marks
    from panelwear.byeye.map_picture import FILE, write_map
    from panelwear.folder.checkpoint import stamp
    from panelwear.readings.marks import FILE as MARKS
    from panelwear.readings.matches import matches_file

    checkpoint, panel, findings = session.job.checkpoint, session.job.panel, session.findings
    checkpoint.session["ended"] = "by the person's wish" if whole else "stopped"
    checkpoint.session["ended_utc"] = stamp(session.bench.clock.utc())
    checkpoint.save()
    there = findings.all_marks
    matched = counted(len(findings.matches), "match", "matches")
    counts = f"{counted(len(findings.marks), 'mark')} this time, {len(there)} in all, {matched}"
    lines = [f"{checkpoint.name}: {counts}"]
    lines += [f"  {mark.name}: {mark.kind}, {mark.strength}, on {mark.field}" for mark in findings.marks]
    last_time = earlier_marks(panel.directory, checkpoint)
    lines += [f"  {sentence}" for sentence in (*compared_marks(there, last_time), *session.said)]
    title = f"{panel.name}, {checkpoint.use.words}: what the eye found ({checkpoint.name})"
    write_map(checkpoint.directory / FILE, panel, title, there, findings.matches)
    stored = [
        FILE,
        *([MARKS] if there else []),
        *([matches_file(checkpoint.directory).name] if findings.matches else []),
    ]
    lines.append(f"stored in {checkpoint.directory}: {', '.join(stored)}")
    return lines
