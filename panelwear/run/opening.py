"""Open everything a run needs, in the right order, and let it all go again: lock, screen, probe, person."""

from __future__ import annotations

import importlib
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from groundwork.clock import RealClock, local_now
from panelwear.atomic import write_whole
from panelwear.errors import PanelwearError, ScreenFault, Stopped, UsageError
from panelwear.folder.panel import Panel, ProbeSettings
from panelwear.run.free_space import refuse_without_room_for
from panelwear.run.pages import done_page, leaving_words, stored_words
from panelwear.run.plan import SessionPlan, Wanted, cannot_tell, job_of
from panelwear.screen.bench import Bench
from panelwear.screen.contract import Card, Screen
from panelwear.screen.operator import Awaited, Operator, Unattended
from panelwear.telling.words import verb
from probe_io.reading import Probe, ProbeIdentity

if TYPE_CHECKING:
    from panelwear.folder.checkpoint import Checkpoint
    from panelwear.folder.hours import Hours
    from panelwear.run.session import Outcome
    from probe_io.simulated import LightSource


@dataclass(frozen=True, slots=True)
class Wishes:
    """What the command line says about screen and probe."""

    screen: int | None = None
    allow_scaled: bool = False
    borderless: bool = False
    unattended: bool = False
    simulated: Callable[[Awaited], LightSource] | None = None
    """Makes what the probe ``simulated`` sees; ``None``: a steady white."""
    quiet: bool = False
    """Whether the line that says how far the run is is left out."""
    photographer: Callable[..., str] | None = None
    """Goes through shooting lists; ``None``: steps that photograph cannot be run."""


NO_WISHES = Wishes()


@contextmanager
def open_visible(panel: Panel, wishes: Wishes) -> Iterator[tuple[Screen, Operator]]:
    """Open the screen on the panel under inspection; ``ScreenFault`` when it is another size or not exact."""
    from panelwear.screen.awake import awake
    from panelwear.screen.person import ScreenOperator
    from panelwear.screen.terminal import Terminal
    from panelwear.screen.window import open_screen

    screen = open_screen(
        wishes.screen,
        clock=RealClock(),
        allow_scaled=wishes.allow_scaled,
        borderless=wishes.borderless,
        distance_mm=panel.distance_mm,
        active_area_mm=panel.active_area_mm,
        peak_cd_m2=panel.peak_cd_m2,
    )
    said: tuple[str, ...] = ()
    person = ScreenOperator(screen, Terminal(quiet=wishes.quiet))
    try:
        found = (screen.facts.width_px, screen.facts.height_px)
        if found != (panel.width_px, panel.height_px) and not wishes.allow_scaled:
            raise ScreenFault(
                f"panel.toml: pixels: says {panel.width_px} x {panel.height_px}, screen {screen.facts.number} has "
                f"{found[0]} x {found[1]}; choose the monitor with --screen N ('panelwear screens' lists them)"
            )
        if found != (panel.width_px, panel.height_px):
            sentence = (
                f"panel.toml says {panel.width_px} x {panel.height_px} pixels, the screen has {found[0]} x {found[1]}: "
                "its pixels are not the panel's own"
            )
            screen.facts = replace(screen.facts, scaled=True, notes=(*screen.facts.notes, sentence))
        with awake(screen.facts.driver) as refused:
            for sentence in refused:
                person.tell(sentence)
            yield screen, Unattended(person) if wishes.unattended else person
    except PanelwearError as error:
        said = leaving_words(error)
        raise
    finally:
        person.leave()
        screen.close(said)


@contextmanager
def opened_probe(
    panel: Panel, settings: ProbeSettings, awaited: Awaited, wishes: Wishes = NO_WISHES
) -> Iterator[tuple[Probe | None, ProbeIdentity | None]]:
    """Open the probe of ``settings``; without a link there is none, and the sequence is shown for eye and camera.

    To be opened before the screen: a port or a network address may keep silent for seconds, in which no key would be
    heard, and what goes wrong is best read on the terminal.

    Args:
        panel: The panel; its folder may hold the instrument file.
        settings: Of ``probe.toml`` and the command line.
        awaited: Through which a person is asked for the readings of a hand-held meter.
        wishes: What a simulated meter sees.
    """
    if not settings.link:
        yield None, None
        return
    from panelwear.probe_border import probe_errors
    from probe_io.open import open_probe

    if settings.link != "keyboard" and not settings.instrument:
        raise UsageError("--probe needs --instrument NAME|FILE too; 'panelwear probe list' names the shipped ones")
    own = panel.directory / settings.instrument
    instrument = str(own) if settings.instrument and own.is_file() else settings.instrument
    with probe_errors():
        light = wishes.simulated(awaited) if wishes.simulated and settings.link == "simulated" else None
        probe = open_probe(
            settings.link,
            instrument or None,
            ask=awaited.ask,
            before=awaited.luminance_before,
            back=awaited.back,
            source=light,
        )
        identity = probe.open()
    try:
        yield probe, identity
    finally:
        probe.close()


@contextmanager
def warmed(said: tuple[str, ...] = ()) -> Iterator[None]:
    """Load what readings are worked out with; for some seconds no key is heard, so it comes before the screen.

    ``said`` is told first.
    """
    from panelwear.screen.terminal import Terminal

    for sentence in said:
        Terminal().say(sentence)
    Terminal().say("getting ready; the screen comes up in some seconds")
    warm()
    yield


def remember_probe(directory: Path, settings: ProbeSettings) -> None:
    """Fill empty ``instrument`` and ``link`` lines of ``probe.toml`` in; what a person wrote there stays."""
    path = directory / "probe.toml"
    if not path.exists() or path.is_symlink():  # a file that several folders share is the person's to fill in
        return
    text = path.read_text(encoding="utf-8")
    filled = text
    for key, value in (("instrument", settings.instrument), ("link", settings.link)):
        if value and '"' not in value and "\\" not in value:
            filled = re.sub(rf'(?m)^{key} = ""', f'{key} = "{value}"', filled)
    if filled != text:
        write_whole(path, filled.encode())


def bench_of(screen: Screen, operator: Operator, probe: Probe | None, awaited: Awaited | None = None) -> Bench:
    """Put the effects together; the person can be asked for readings from now on."""
    awaited = awaited or Awaited()
    awaited.operator = operator
    return Bench(screen, RealClock(), operator, probe, awaited)


def carry_out(plan: SessionPlan, wanted: Wanted, wishes: Wishes, *, resume: bool = False) -> Outcome:
    """Open screen and probe, say the cautions, run the session (or go on with it).

    Raises:
        UsageError: what is wanted does not go together.
        ScreenFault: the screen cannot show the patterns exactly.
    """
    from panelwear.folder import checkpoint
    from panelwear.folder.lock import hold
    from panelwear.probe_border import probe_errors, probe_words
    from panelwear.run.session import resume_checkpoint, run_checkpoint

    if wishes.unattended and plan.probe_settings.link == "keyboard":
        raise UsageError(
            "--yes waits for nobody, and the probe 'keyboard' is a person who types; leave one of them out"
        )
    if not resume:
        _refuse_without_probe(plan, wanted)
    refuse_without_room_for(plan, resume=resume)
    awaited = Awaited()
    with (
        hold(plan.panel.directory),
        checked_folder(plan, wanted, wishes.unattended),
        opened_probe(plan.panel, plan.probe_settings, awaited, wishes) as (probe, identity),
        warmed(cannot_tell(plan)),
        open_visible(plan.panel, wishes) as (screen, operator),
    ):
        bench = bench_of(screen, operator, probe, awaited)
        bench.photographer = wishes.photographer
        confirm_hours(plan.panel.directory, wanted.hours, operator, wanted.sure)
        tell_overlap(plan.panel.directory, wanted.hours, operator)
        in_use = "" if identity is None else probe_words(identity, plan.probe_settings.serial)
        _say_cautions(bench, plan, wishes.unattended, in_use)
        if not wishes.unattended:
            screen.card(Card(("Getting ready; the first question or the target comes in a moment.",), corner="centre"))
        now = local_now(RealClock())
        found = checkpoint.open_or_create(plan.panel.directory, plan.panel.name, wanted.hours, wanted.cycles, now)
        job = job_of(plan, found, identity, wishes.unattended)
        try:
            with probe_errors():
                outcome = resume_checkpoint(bench, job) if resume else run_checkpoint(bench, job)
            say_done(operator, outcome, plan.panel)
            return outcome
        finally:
            if identity is not None and _has_read(found):
                remember_probe(plan.panel.directory, plan.probe_settings)


DONE_MOST_S = 600.0
"""The page at the end goes away by itself after so long: nothing is left standing on the panel."""


def say_done(operator: Operator, outcome: Outcome, panel: Panel) -> None:
    """Say on the screen what was done, where it is and what to do next, until a key."""
    stored, record = len(outcome.rows), outcome.checkpoint.session
    lost = sum(row.Y_cd_m2 is None for row in outcome.rows)
    failed = f" {lost} of them {verb(lost, 'is')} without a value." if lost else ""
    folder = panel.directory.name
    page = done_page(
        f"'{record['sequence']}' is finished at {outcome.checkpoint.use.words}.",
        stored_words(stored, f"{folder}/checkpoints/{outcome.checkpoint.name}") + failed,
        (
            f"When nothing more is to be read at these hours: 'panelwear close {folder}'.",
            f"'panelwear compare {folder}' says what changed, 'panelwear report {folder}' writes it down.",
        ),
    )
    with suppress(Stopped):  # Escape leaves as Return does: there is nothing left to stop
        operator.choose(page, DONE_MOST_S)


NO_PROBE = (
    "no probe is named, so nothing would be read. Name one with --instrument NAME|FILE --probe URL ('panelwear probe "
    "list' names both), type what a hand-held meter shows with --probe keyboard, or show the sequence for eye and "
    "camera alone with --no-probe"
)


def _refuse_without_probe(plan: SessionPlan, wanted: Wanted) -> None:
    """Refuse an inspection that would go through all its steps in silence."""
    from sequences.model import Read

    if not plan.probe_settings.link and not wanted.without_probe and any(isinstance(s, Read) for s in plan.steps):
        raise UsageError(NO_PROBE)


@contextmanager
def checked_folder(plan: SessionPlan, wanted: Wanted, unattended: bool) -> Iterator[None]:
    """Refuse hours and cycles that do not go with the checkpoints there are, before anything is opened or written."""
    from panelwear.folder.checkpoint import gone_on_with

    gone_on_with(plan.panel.directory, wanted.hours, wanted.cycles)
    if unattended:
        confirm_hours(plan.panel.directory, wanted.hours, None, wanted.sure)
    yield


def tell_overlap(directory: Path, hours: Hours | None, operator: Operator) -> None:
    """Say where a range of hours overlaps the last checkpoint's: the two are in order, but hardly more is known."""
    from panelwear.folder.checkpoint import all_of
    from panelwear.folder.odd_hours import overlap_of

    if overlap := overlap_of(all_of(directory), hours):
        operator.tell(f"note: {overlap}")


def confirm_hours(directory: Path, hours: Hours | None, operator: Operator | None, sure: bool) -> None:
    """Question hours that can hardly be right, before a checkpoint is begun with them.

    Args:
        directory: the panel folder.
        hours: as stated.
        operator: who is asked; nobody: odd hours are refused.
        sure: the person said beforehand that they are right.

    Raises:
        UsageError: they are odd, and nobody says that they are right; nothing was begun.
    """
    from panelwear.folder.checkpoint import all_of
    from panelwear.folder.hours import as_hours
    from panelwear.folder.odd_hours import odd_hours
    from panelwear.screen.operator import Question

    if hours is None:
        return
    there, use = all_of(directory), as_hours(hours)
    odd = "" if sure else odd_hours(there, use, local_now(RealClock()))
    if not odd:
        return
    asked = Question("hours_sure", f"{odd}. Is {use.words} right?", default="no", choices=("yes", "no"))
    if operator is None or operator.ask(asked) != "yes":
        raise UsageError(
            f"--hours {use.text}: {odd}; nothing was begun. Give other hours, correct an earlier checkpoint "
            "with 'panelwear amend', or say --sure"
        )


def _has_read(found: Checkpoint) -> bool:
    """Tell whether the last session holds a reading with a value: only then the probe is worth remembering."""
    try:
        number = found.session["number"]
        return any(row.session == number and row.Y_cd_m2 is not None for row in found.rows())
    except PanelwearError:
        return False


def _say_cautions(bench: Bench, plan: SessionPlan, unattended: bool, probe: str) -> None:
    from panelwear.screen.caution import say_cautions
    from panelwear.screen.evening import Evening

    for sentence in (*plan.notes, *plan.reach):
        bench.operator.tell(sentence)
    bench.operator.tell(f"probe: {probe}" if probe else "no probe: the sequence is shown for eye and camera alone")
    evening = None if unattended else Evening.of_the_user()
    say_cautions(bench.screen, bench.operator, bench.clock, evening)


LIBRARIES = ("scipy.interpolate", "scipy.optimize", "scipy.special", "scipy.stats")
"""What settling, repeats, responses and the search for the probe compute with."""
MODULES = ("aperture", "edges", "locate", "measured", "noise", "placement", "reads", "refine", "standing", "steady")
"""Modules of ``panelwear.panel`` that steps import where they use them."""


def warm() -> None:
    """Load what a run computes with before the screen is up: an import of a second would keep Escape waiting."""
    for name in (*LIBRARIES, *(f"panelwear.panel.{module}" for module in MODULES)):
        importlib.import_module(name)
