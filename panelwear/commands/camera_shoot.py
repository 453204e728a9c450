"""Photograph the panel: title card, dots, staircase and the fields of a shooting list, each alone on the screen."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from panelwear.commands.run_options import add_hours_argument, add_sure_argument, wishes_of
from panelwear.errors import FileFault
from panelwear.telling.out import tell
from panelwear.telling.parts import EMPTY, Column, Part, grid, paragraphs

if TYPE_CHECKING:
    from panelwear.camera.shoot_plan import ShootPlan
    from panelwear.camera.shooting import Shooting
    from panelwear.folder.checkpoint import Checkpoint
    from panelwear.folder.panel import Panel
    from panelwear.screen.bench import Bench

COLUMNS = (
    Column("shot"),
    Column("frames", number=True),
    Column("drive level"),
    Column("wanted", "cd/m²", number=True),
    Column("exposure", "s", number=True),
    Column("basis", optional=True),
)
SHOOT_BYTES = 500_000
"""Room for the record of a shoot and its list; neither was ever near that."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("directory", metavar="DIR", type=Path, help="panel folder (panelwear new)")
    add_hours_argument(parser)
    parser.add_argument("--cycles", type=int, metavar="C", help="compensation cycles, if the panel counts them")
    add_sure_argument(parser)
    parser.add_argument("--list", default="usual", metavar="NAME|FILE", help="shooting list (usual)")
    parser.add_argument("--poses", action="store_true", help="three more poses of the camera, for the lens's shading")
    parser.add_argument("--screen", type=int, metavar="N", help="monitor, as 'panelwear screens' counts")
    parser.add_argument("--allow-scaled", action="store_true", help="go on when pixels are scaled")
    parser.add_argument("--borderless", action="store_true", help="a frameless window, for stubborn window managers")
    parser.add_argument("--yes", action="store_true", help="wait for nobody: each field stands as long as its frames")
    parser.add_argument("--dry-run", action="store_true", help="print the shots and the estimate; show nothing")


def run(arguments: argparse.Namespace) -> int:
    """Plan the shoot, then print it, or go through it on the screen."""
    from groundwork.clock import local_now
    from panelwear.camera.qr_code import qr_matrix
    from panelwear.folder import checkpoint
    from panelwear.folder.lock import hold
    from panelwear.folder.panel import load_panel
    from panelwear.folder.space import refuse_without_room
    from panelwear.run import opening

    panel = load_panel(arguments.directory)
    if arguments.dry_run:
        tell(_listed(_plan(arguments, panel, None)))
        return 0
    qr_matrix("panelwear")  # what is not installed is said before anything is shown
    refuse_without_room(panel.directory, SHOOT_BYTES)
    _plan(arguments, panel, None)  # a list with faults, likewise
    with hold(panel.directory):
        checkpoint.gone_on_with(panel.directory, arguments.hours, arguments.cycles)
        with opening.open_visible(panel, wishes_of(arguments)) as (screen, operator):
            bench = opening.bench_of(screen, operator, None)
            opening.confirm_hours(panel.directory, arguments.hours, None if arguments.yes else operator, arguments.sure)
            opening.tell_overlap(panel.directory, arguments.hours, operator)
            now = local_now(bench.clock)
            found = checkpoint.open_or_create(panel.directory, panel.name, arguments.hours, arguments.cycles, now)
            _shoot(arguments, panel, found, bench)
    return 0


def _plan(arguments: argparse.Namespace, panel: Panel, found: Checkpoint | None) -> ShootPlan:
    from panelwear.byeye.preparation import known_response
    from panelwear.camera.shoot_plan import plan_shoot
    from panelwear.folder.checkpoint import all_of
    from panelwear.run.plan import resolver_of
    from sequences import errors, shoots

    try:
        source, wanted = shoots.source_of(arguments.list)
    except errors.SequenceError as error:
        raise FileFault(error.problems) from None
    there = all_of(panel.directory)
    resolver = resolver_of(panel, there) if found is None else known_response(panel, found, lambda _: None)
    return plan_shoot(panel, resolver, wanted.name, source, wanted, poses=arguments.poses)


def _shoot(arguments: argparse.Namespace, panel: Panel, found: Checkpoint, bench: Bench) -> None:
    from panelwear.camera.shoot_pages import light_words
    from panelwear.camera.shooting import Shooting, ShootJob
    from panelwear.screen.caution import say_cautions
    from panelwear.screen.evening import Evening

    plan = _plan(arguments, panel, found)
    evening = None if arguments.yes else Evening.of_the_user()
    light = (f"{light_words(plan)}.",)
    say_cautions(bench.screen, bench.operator, bench.clock, evening, all_of_them=False, more=light)
    shooting = Shooting(bench, ShootJob(found, plan, unattended=arguments.yes))
    try:
        shooting.run()
    finally:
        bench.screen.darken()
        tell(paragraphs(*_summary(found, shooting)))


def _summary(found: Checkpoint, shooting: Shooting) -> list[str]:
    from panelwear.folder.shoots import SHOOTS

    if not shooting.begun:
        return [f"{found.name}: nothing was photographed"]
    record = shooting.record
    taken = sum(one.to_utc is not None for one in record.shots)
    lines = [f"{found.name}: {record.shoot}, {taken} of {len(record.shots)} photographs taken"]
    lines += [f"  {one.note}" for one in record.shots if one.note]
    lines.append(f"stored in {found.directory / SHOOTS}: {record.shoot}.json, {record.shoot}.toml")
    return lines


def _listed(plan: ShootPlan) -> list[Part]:
    from panelwear.camera.shoot_pages import light_words
    from sequences.exposure import time_label

    rows = [
        (
            one.name,
            f"{one.frames}",
            " ".join(f"{code:g}" for code in (one.codes if len(set(one.codes)) > 1 else one.codes[:1])),
            "" if one.target_cd_m2 is None else f"{one.target_cd_m2:g}",
            "" if one.exposure_s is None else time_label(one.exposure_s),
            one.level_basis,
        )
        for one in plan.shots
    ]
    return [grid(COLUMNS, rows), EMPTY, *paragraphs(f"{light_words(plan)}.", *plan.notes)]
