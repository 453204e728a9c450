"""Go on with an inspection that was interrupted: warm-up again, then from the unfinished visit on."""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from panelwear.commands.run_options import add_bench_arguments

if TYPE_CHECKING:
    from panelwear.folder.checkpoint import Checkpoint


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("directory", metavar="DIR", type=Path, help="panel folder")
    add_bench_arguments(parser)


def run(arguments: argparse.Namespace) -> int:
    """Find the interrupted session and run the rest of it."""
    from panelwear.atomic import sha256_of
    from panelwear.commands.inspect import print_summary
    from panelwear.errors import UsageError
    from panelwear.folder import checkpoint
    from panelwear.folder.panel import load_panel
    from panelwear.folder.probe_settings import load_probe_settings
    from panelwear.run.opening import settings_with
    from panelwear.run.plan import plan_steps, run_plan

    panel = load_panel(arguments.directory)
    found = checkpoint.find(arguments.directory, None)
    record = found.session
    if "steps" not in record:
        raise UsageError(f"{found.name}: the last session was a by-eye check; 'panelwear look' begins another")
    if found.is_closed or record["status"] == "done":
        raise UsageError(_nothing_to_resume(found))
    written = record.get("digests", {}).get("panel.toml")
    if written is not None and written != sha256_of(arguments.directory / "panel.toml"):
        raise UsageError(
            "panel.toml was changed since this session began, so its steps may no longer be the same; "
            "put it back as it was, or close the checkpoint and begin another"
        )
    settings = settings_with(load_probe_settings(arguments.directory), arguments.instrument, arguments.probe)
    before = record.get("probe", {})
    # what the steps were made for: an aperture that was changed since would make other steps
    settings = replace(settings, aperture_mm=before.get("aperture_mm", settings.aperture_mm))
    if "link" in before:
        settings = settings_with(settings, settings.instrument or before["instrument"], settings.link or before["link"])
    if arguments.no_probe or "link" not in before:
        settings = replace(settings, link="")
    known = tuple((key, value) for key, value in record.get("known_cd_m2", []))
    plan = plan_steps(panel, settings, found.directory / record["sequence_file"], record["seed"], known)
    if len(plan.steps) != record["steps"]:
        raise UsageError(
            f"{found.name}: the sequence now makes {len(plan.steps)} steps, the session began with {record['steps']}; "
            "close the checkpoint and begin another"
        )
    plan = replace(plan, warm_up_minutes=record.get("warm_up_minutes"))
    arguments.hours, arguments.cycles = found.hours, None
    print_summary(plan, run_plan(plan, arguments, resume=True))
    return 0


def _nothing_to_resume(found: Checkpoint) -> str:
    """Say why there is nothing to go on with."""
    stopped = [r for r in found.record["sessions"] if r.get("status") != "done" and "steps" in r]
    if stopped and not found.is_closed:
        number, name = stopped[-1]["number"], stopped[-1]["sequence"]
        return (
            f"{found.name}: session {number} ('{name}') was interrupted, but another came after it and only the last "
            "can be gone on with; 'panelwear inspect' begins a new session"
        )
    return f"{found.name}: nothing was interrupted there; 'panelwear inspect' begins a new session"
