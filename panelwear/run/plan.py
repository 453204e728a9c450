"""What a session will be: steps of a sequence on a panel, made anew or as an interrupted one began with them."""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from panelwear.errors import FileFault, StorageFault, UsageError
from panelwear.folder.record import is_interrupted
from panelwear.readings.corrections import replaced_rows
from sequences.keys import PairKey

if TYPE_CHECKING:
    from panelwear.folder.checkpoint import Checkpoint
    from panelwear.folder.hours import Hours
    from panelwear.folder.panel import KnownLuminances, Panel, ProbeSettings
    from panelwear.panel.resolve import LevelResolver
    from panelwear.run.session import Job
    from sequences.model import PanelFacts, Step
    from sequences.schema import Sequence as SequenceFile


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a person asks of a session; ``None`` and empty text: as ``probe.toml``, the sequence or the record say."""

    directory: Path
    """The panel folder."""
    sequence: str = ""
    """Name or file."""
    hours: Hours | None = None
    cycles: int | None = None
    warm_up_minutes: float | None = None
    seed: int | None = None
    locate: bool = False
    instrument: str = ""
    link: str = ""
    without_probe: bool = False
    warm_up_choice: str = ""
    """Of a resumed session: ``auto``, or as planned."""
    sure: bool = False
    """The hours are right, however odd."""


@dataclass(frozen=True, slots=True)
class SessionPlan:
    """What is to be done, before anything is opened."""

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
    warm_up_choice: str = ""
    """Of a resumed session: ``auto``, or as planned."""


def resolver_of(panel: Panel, earlier: Sequence[Checkpoint]) -> LevelResolver:
    """Resolve through the newest response measured on this panel, else through the one ``panel.toml`` assumes."""
    from panelwear.panel.resolve import LevelResolver, assumed_response, recall

    resolver = LevelResolver(assumed_response(panel.assumed_response))
    recall(resolver, [session for c in earlier for session in c.record.get("sessions", [])])
    return resolver


def known_loading(earlier: Sequence[Checkpoint]) -> KnownLuminances:
    """Collect the luminances of the loading patches of the last checkpoint, so that they can go from dim to bright."""
    for checkpoint in reversed(earlier):
        found: dict[str, list[float]] = {}
        rows = checkpoint.rows()
        gone = replaced_rows(row.flags for row in rows)
        for row in rows:
            if row.row not in gone and row.purpose == "loading" and row.Y_cd_m2 is not None:
                found.setdefault(row.patch, []).append(row.Y_cd_m2)
        if found:
            return tuple((key, round(sum(values) / len(values), 2)) for key, values in sorted(found.items()))
    return ()


def plan_steps(
    panel: Panel,
    settings: ProbeSettings,
    source: Path,
    seed: int,
    known_cd_m2: KnownLuminances = (),
    *,
    earlier: Sequence[Checkpoint] | None = None,
) -> SessionPlan:
    """Read and expand a sequence for a panel.

    Args:
        panel: the panel.
        settings: of ``probe.toml`` and the command line.
        source: the sequence's file.
        seed: of shuffled orders.
        known_cd_m2: luminances of loading patches, so that they can go from dim to bright.
        earlier: the panel's checkpoints, oldest first, whose responses are a first guess; read when left out.

    Raises:
        FileFault: the sequence has faults.
        StorageFault: it cannot be read.
    """
    from panelwear.folder.checkpoint import all_of
    from panelwear.folder.panel import facts_for
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
    resolver = resolver_of(panel, all_of(panel.directory) if earlier is None else earlier)
    reach = check_reach([step.patch for step in steps if isinstance(step, Read)], resolver)
    fields = [s for s in steps if isinstance(s, Read) and s.pair and s.patch.pattern != "strip"]
    notes += _narrow_notes(panel, settings, {seat.zone for step in fields if (seat := PairKey.parse(step.pair))})
    return SessionPlan(panel, settings, sequence, raw, steps, notes, seed, resolver, reach, facts)


def _narrow_notes(panel: Panel, settings: ProbeSettings, zones: set[str]) -> tuple[str, ...]:
    """Say which zones that are read as fields do not fill the probe's aperture."""
    from panelwear.panel.aperture import narrow_zone

    said = (narrow_zone(z.name, z.rect, panel.pitch_mm, settings.aperture_mm) for z in panel.zones if z.name in zones)
    return tuple(sentence for sentence in said if sentence)


CANNOT = "Cannot tell: "


def cannot_tell(plan: SessionPlan) -> tuple[str, ...]:
    """Return what a short sequence says it cannot tell; nothing of one that says nothing so."""
    _, found, said = plan.sequence.description.partition(CANNOT)
    return (f"{plan.sequence.name} cannot tell: {said}",) if found else ()


def settings_with(settings: ProbeSettings, instrument: str | None, link: str | None) -> ProbeSettings:
    """Let flags win over ``probe.toml``."""
    return replace(settings, instrument=instrument or settings.instrument, link=link or settings.link)


def new_seed() -> int:
    """Draw the seed of a session; it is recorded with it."""
    return secrets.randbelow(2**31)


def within_minutes(minutes: float) -> float:
    """Return minutes of warm-up; ``UsageError`` when they cannot be meant."""
    if not 0 <= minutes <= 600:
        raise UsageError(f"--warm-up {minutes:g}: minutes lie within 0..600")
    return minutes


def plan_session(wanted: Wanted) -> SessionPlan:
    """Plan a new session.

    Raises:
        FileFault: a file of the panel folder, or the sequence, has faults.
        UsageError: what is wanted is out of range.
    """
    from panelwear.folder.checkpoint import all_of
    from panelwear.folder.panel import load_panel, load_probe_settings
    from sequences import errors, reader

    panel = load_panel(wanted.directory)
    settings = settings_with(load_probe_settings(wanted.directory), wanted.instrument, wanted.link)
    if settings.correction:
        from panelwear.colorimetry.correction import load_correction

        load_correction(panel.directory / settings.correction)  # faults are said now, not after an evening's readings
    if wanted.without_probe:
        settings = replace(settings, link="")
    try:
        source = reader.find(wanted.sequence)
    except errors.SequenceError as error:
        raise FileFault(error.problems) from None
    if wanted.warm_up_minutes is not None:
        within_minutes(wanted.warm_up_minutes)
    seed = new_seed() if wanted.seed is None else wanted.seed
    earlier = all_of(panel.directory)
    plan = plan_steps(panel, settings, source, seed, known_loading(earlier), earlier=earlier)
    return replace(plan, warm_up_minutes=wanted.warm_up_minutes, locate=wanted.locate)


def plan_rest(wanted: Wanted, found: Checkpoint) -> SessionPlan:
    """Plan the last session of a checkpoint again, as it was begun: what is left of it is worked out from its rows.

    Raises:
        UsageError: nothing was interrupted there, or panel or sequence were changed since.
    """
    from panelwear.atomic import sha256_of
    from panelwear.folder.panel import load_panel, load_probe_settings

    panel = load_panel(wanted.directory)
    record = found.session
    if "steps" not in record:
        raise UsageError(f"{found.name}: the last session was a by-eye check; 'panelwear look' begins another")
    if found.is_closed or record["status"] == "done":
        raise UsageError(_nothing_to_resume(found))
    written = record.get("digests", {}).get("panel.toml")
    if written is not None and written != sha256_of(wanted.directory / "panel.toml"):
        raise UsageError(
            "panel.toml was changed since this session began, so its steps may no longer be the same; "
            "put it back as it was, or close the checkpoint and begin another"
        )
    settings = settings_with(load_probe_settings(wanted.directory), wanted.instrument, wanted.link)
    begun = record.get("probe", {})
    # what the steps were made for: an aperture that was changed since would make other steps
    settings = replace(settings, aperture_mm=begun.get("aperture_mm", settings.aperture_mm))
    if "link" in begun:
        settings = settings_with(settings, settings.instrument or begun["instrument"], settings.link or begun["link"])
    if wanted.without_probe or "link" not in begun:
        settings = replace(settings, link="")
    known = tuple((key, value) for key, value in record.get("known_cd_m2", []))
    plan = plan_steps(panel, settings, found.directory / record["sequence_file"], record["seed"], known)
    if len(plan.steps) != record["steps"]:
        raise UsageError(
            f"{found.name}: the sequence now makes {len(plan.steps)} steps, the session began with {record['steps']}; "
            "close the checkpoint and begin another"
        )
    _refuse_other_steps(plan, found)
    if wanted.warm_up_minutes is not None:
        return replace(plan, warm_up_minutes=within_minutes(wanted.warm_up_minutes))
    return replace(plan, warm_up_minutes=record.get("warm_up_minutes"), warm_up_choice=wanted.warm_up_choice)


def _refuse_other_steps(plan: SessionPlan, found: Checkpoint) -> None:
    """Refuse to go on where the steps stand in another order than those that were read, as of another version."""
    from sequences.model import Read

    read = {step.number: step.patch for step in plan.steps if isinstance(step, Read)}
    for row in found.rows():
        if row.session != found.session["number"] or row.step not in read:
            continue
        patch = read[row.step]
        if row.purpose == patch.purpose and row.patch != patch.key and row.place != patch.place.name:
            raise UsageError(
                f"{found.name}: step {row.step} was read as {row.patch}, the sequence now makes it {patch.key}; go on "
                "with the version of the program that began the session, or close the checkpoint and begin another"
            )


def _nothing_to_resume(found: Checkpoint) -> str:
    """Say why there is nothing to go on with."""
    stopped = [r for r in found.record["sessions"] if is_interrupted(r)]
    if stopped and not found.is_closed:
        number, name = stopped[-1]["number"], stopped[-1]["sequence"]
        return (
            f"{found.name}: session {number} ('{name}') was interrupted, but another came after it and only the last "
            "can be gone on with; 'panelwear inspect' begins a new session"
        )
    return f"{found.name}: nothing was interrupted there; 'panelwear inspect' begins a new session"


def job_of(plan: SessionPlan, checkpoint: Any, identity: Any, unattended: bool) -> Job:
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
        warm_up_choice=plan.warm_up_choice,
        known_cd_m2=plan.facts.known_cd_m2,
        locate=plan.locate,
    )
