"""A session from the command line: plan it, say what stands in its way, run it, sum it up."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from panelwear.cautions import CAUTIONS
from panelwear.errors import FileFault, StorageFault, UsageError
from sequences.keys import Seat

if TYPE_CHECKING:
    from panelwear.folder.panel import Panel
    from panelwear.folder.probe_settings import KnownLuminances, ProbeSettings
    from panelwear.panel.resolve import LevelResolver
    from panelwear.run.session import Job, Outcome
    from panelwear.screen.bench import Bench
    from sequences.model import PanelFacts, Step
    from sequences.schema import Sequence as SequenceFile


@dataclass(frozen=True, slots=True)
class Plan:
    """What the command line comes to, before anything is opened."""

    panel: Panel
    probe_settings: ProbeSettings
    sequence: SequenceFile
    source: bytes
    steps: tuple[Step, ...]
    notes: tuple[str, ...]
    """What this panel makes the sequence leave out."""
    seed: int
    resolver: LevelResolver
    reach: tuple[str, ...]
    """Levels that are out of reach, a sentence each."""
    facts: PanelFacts
    warm_up_minutes: float | None = None
    """Minutes of warm-up the person wants instead of the sequence's."""
    locate: bool = False
    """Find the probe with the screen after each placement."""


def _resolver(panel: Panel) -> LevelResolver:
    """Resolve through the newest response measured on this panel, else through the one ``panel.toml`` assumes."""
    from panelwear.folder.checkpoint import all_of
    from panelwear.panel.assumed import assumed_response
    from panelwear.panel.resolve import LevelResolver
    from panelwear.run.learned import recall

    resolver = LevelResolver(assumed_response(panel.assumed_response))
    recall(resolver, [r for c in all_of(panel.directory) for r in c.record.get("sessions", [])])
    return resolver


def known_loading(panel: Panel) -> KnownLuminances:
    """Collect the luminances of the loading patches of the last checkpoint, so that they can go from dim to bright."""
    from panelwear.folder import checkpoint

    for earlier in reversed(checkpoint.all_of(panel.directory)):
        found: dict[str, list[float]] = {}
        for row in earlier.rows():
            if row.purpose == "loading" and row.Y_cd_m2 is not None:
                found.setdefault(row.patch, []).append(row.Y_cd_m2)
        if found:
            return tuple((key, round(sum(values) / len(values), 2)) for key, values in sorted(found.items()))
    return ()


def plan_steps(
    panel: Panel, settings: ProbeSettings, source: Path, seed: int, known_cd_m2: KnownLuminances = ()
) -> Plan:
    """Read and expand a sequence for a panel; faults come as ``FileFault``."""
    from panelwear.folder.probe_settings import facts_for
    from panelwear.panel.resolve import check_reach
    from sequences import errors, expand, reader
    from sequences.model import Read

    try:
        raw = source.read_bytes()
        sequence = reader.parse(raw, source.name)
        facts = facts_for(panel, settings, known_cd_m2)
        steps, notes = expand.expand_noted(sequence, facts, seed)
    except errors.SequenceError as error:
        raise FileFault(error.problems) from None
    except OSError as error:
        raise StorageFault(f"{source}: cannot be read ({error.strerror})") from None
    resolver = _resolver(panel)
    reach = check_reach([step.patch for step in steps if isinstance(step, Read)], resolver)
    fields = [s for s in steps if isinstance(s, Read) and s.pair and s.patch.pattern != "strip"]
    notes += _narrow_notes(panel, settings, {seat.zone for step in fields if (seat := Seat.parse(step.pair))})
    return Plan(panel, settings, sequence, raw, steps, notes, seed, resolver, reach, facts)


def _narrow_notes(panel: Panel, settings: ProbeSettings, zones: set[str]) -> tuple[str, ...]:
    """Say which zones that are read as fields do not fill the probe's aperture."""
    from panelwear.panel.aperture import narrow_zone

    said = (narrow_zone(z.name, z.rect, panel.pitch_mm, settings.aperture_mm) for z in panel.zones if z.name in zones)
    return tuple(sentence for sentence in said if sentence)


def plan_of(arguments: argparse.Namespace) -> Plan:
    """Plan what the command line asks for."""
    from panelwear.folder.panel import load_panel
    from panelwear.folder.probe_settings import load_probe_settings
    from panelwear.run.opening import new_seed, settings_with
    from sequences import errors, reader

    panel = load_panel(arguments.directory)
    settings = settings_with(load_probe_settings(arguments.directory), arguments.instrument, arguments.probe)
    if settings.correction:
        from panelwear.colorimetry.correction import load_correction

        load_correction(panel.directory / settings.correction)  # faults are said now, not after an evening's readings
    if arguments.no_probe:
        settings = replace(settings, link="")
    try:
        source = reader.find(arguments.sequence)
    except errors.SequenceError as error:
        raise FileFault(error.problems) from None
    if arguments.warm_up is not None and not 0 <= arguments.warm_up <= 600:
        raise UsageError(f"--warm-up {arguments.warm_up:g}: minutes lie within 0..600")
    seed = new_seed() if arguments.seed is None else arguments.seed
    plan = plan_steps(panel, settings, source, seed, known_loading(panel))
    return replace(plan, warm_up_minutes=arguments.warm_up, locate=arguments.locate)


def print_dry_run(plan: Plan) -> None:
    """Print numbered steps, moves and the estimate."""
    from sequences import estimate, listing

    for line in (*listing.lines(plan.steps), *listing.summary(estimate.plan(plan.steps, plan.facts))):
        print(line)  # noqa: T201 - this is the answer of a command
    for sentence in (*plan.notes, *plan.reach):
        print(f"note: {sentence}")  # noqa: T201


def _say_cautions(bench: Bench, plan: Plan, unattended: bool) -> None:
    from panelwear.screen.caution import reading_ground
    from panelwear.screen.contract import Card

    for sentence in (*plan.notes, *plan.reach):
        bench.operator.tell(sentence)
    bench.screen.show(reading_ground(bench.screen.facts.width_px, bench.screen.facts.height_px))
    if unattended:
        bench.screen.card(Card(CAUTIONS, title="Before you go on", corner="centre"))
    bench.operator.go_on("\n".join(CAUTIONS))


def job_of(plan: Plan, checkpoint: Any, identity: Any, unattended: bool) -> Job:
    """Put a job together."""
    from panelwear.run.session import Job

    return Job(
        panel=plan.panel,
        checkpoint=checkpoint,
        probe_settings=plan.probe_settings,
        sequence=plan.sequence.name,
        source=plan.source,
        steps=plan.steps,
        seed=plan.seed,
        resolver=plan.resolver,
        probe_identity=identity,
        unattended=unattended,
        warm_up_minutes=plan.warm_up_minutes,
        known_cd_m2=plan.facts.known_cd_m2,
        locate=plan.locate,
    )


def run_plan(plan: Plan, arguments: argparse.Namespace, *, resume: bool = False) -> Outcome:
    """Open screen and probe, say the cautions, run the session (or go on with it)."""
    from groundwork.clock import RealClock, local_now
    from panelwear.folder import checkpoint
    from panelwear.folder.lock import hold
    from panelwear.probe_border import probe_errors
    from panelwear.run import opening
    from panelwear.run.session import resume_checkpoint, run_checkpoint
    from panelwear.screen.operator import Awaited

    if arguments.yes and plan.probe_settings.link == "keyboard":
        raise UsageError(
            "--yes waits for nobody, and the probe 'keyboard' is a person who types; leave one of them out"
        )
    wishes = opening.Wishes(arguments.screen, arguments.allow_scaled, arguments.borderless, arguments.yes)
    if arguments.hours is not None and not 0 <= arguments.hours < 1e6:
        raise UsageError(f"--hours {arguments.hours:g}: hours of use lie within 0..1000000")
    awaited = Awaited()
    with (
        hold(plan.panel.directory),
        opening.opened_probe(plan.panel, plan.probe_settings, awaited) as (probe, identity),
        opening.warmed(),
        opening.open_visible(plan.panel, wishes) as (screen, operator),
    ):
        if identity is not None:
            opening.remember_probe(plan.panel.directory, plan.probe_settings)
        bench = opening.bench_of(screen, operator, probe, awaited)
        now = local_now(RealClock())
        found = checkpoint.open_or_create(plan.panel.directory, plan.panel.name, arguments.hours, arguments.cycles, now)
        _say_cautions(bench, plan, arguments.yes)
        job = job_of(plan, found, identity, arguments.yes)
        with probe_errors():
            return resume_checkpoint(bench, job) if resume else run_checkpoint(bench, job)


def carry_out(arguments: argparse.Namespace, tell: Callable[[Plan, Outcome], None]) -> int:
    """Do what an inspecting command asks: plan, then the dry run, or the session and what ``tell`` says of it."""
    plan = plan_of(arguments)
    if arguments.dry_run:
        print_dry_run(plan)
    else:
        tell(plan, run_plan(plan, arguments))
    return 0


def summary_lines(panel: Panel, outcome: Outcome) -> list[str]:
    """Sum a session up for the terminal: figures with their spread, and what was stored where."""
    lines = [f"{outcome.checkpoint.name}: session {outcome.session}, {len(outcome.rows)} readings stored"]
    if outcome.rows:
        from panelwear.figures.checkpoint import figures_of
        from panelwear.figures.load import evidence_of_session
        from panelwear.figures.tables import summary_of

        session, _ = evidence_of_session(panel.directory, outcome.checkpoint.name, outcome.session)
        lines += summary_of(figures_of(session))
    lines.append(f"stored in {outcome.checkpoint.directory}")
    return lines
