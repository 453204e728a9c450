"""Six checkpoints of a simulated panel through the real engine, link and files, on a virtual clock."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

from panelwear.simulation.ageing import Compensation
from panelwear.simulation.model import HARBOUR_DESK_PANEL
from panelwear.simulation.panel import PanelState, SimulatedPanel
from panelwear.simulation.probe import DEFAULT_PROBE, SimulatedProbe
from panelwear.telling.words import counted

if TYPE_CHECKING:
    from panelwear.figures.evidence import Evidence
    from panelwear.folder.checkpoint import Checkpoint
    from panelwear.run.plan import SessionPlan
    from panelwear.screen.bench import Bench
    from panelwear.screen.operator import Progress
    from panelwear.simulation.bench import VirtualBenchClock, WatchedScreen
    from panelwear.simulation.scripted import ScriptedOperator
    from panelwear.telling.parts import Part

HOURS = (0.0, 500.0, 1200.0, 2000.0, 3100.0, 4400.0)
QUICK_HOURS = (0.0, 2000.0, 4400.0)
CYCLES = (Compensation(at_h=2600.0, emitter_share=0.12, backplane_share=0.8),)
"""One compensation cycle runs between the checkpoints at 2000 and 3100 h."""
SIZE_PX = (1280, 720)
HOURS_A_DAY = 12.0
BEGAN = datetime(2026, 1, 5, 18, 0, tzinfo=UTC)
ROOM_CD_M2 = 0.00005
NOTES = "invented: a simulated panel made by 'panelwear rehearse', no measurement of anything real"

ANSWERS = {
    "brightness": "80",
    "picture_mode": "standard",
    "brightness_limiter": "no",
    "pixel_shift": "yes",
    "hdr_off": "yes",
    "night_light_off": "yes",
    "refresh_hz": "60",
    "cycle_pending": "no",
    "rest_h": "10",
    "room_lx": "0.1",
    "room_C": "23",
    "room_rh": "45",
}
"""What the script answers at every checkpoint; the hours since the last cycle are worked out."""

Say = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Wish:
    """What is to be rehearsed."""

    seed: int = 1
    sequence: str = "checkpoint"
    hours: tuple[float, ...] = HOURS
    photographs_truth: Path | None = None
    """Folder for the true values of photographs; ``None``: none are taken."""


@dataclass(frozen=True, slots=True)
class Rehearsed:
    """One checkpoint that was run, and what was true meanwhile."""

    checkpoint: Checkpoint
    readings: int
    true_values: dict[str, Any]
    photographs: int = 0


def make_panel_folder(directory: Path) -> Path:
    """Make the panel folder of the demo scenario."""
    from panelwear.simulation.usage import harbour_desk_zones
    from panelwear.upkeep.create import PanelSpec, new_panel

    return new_panel(
        directory,
        PanelSpec(
            name="harbour-desk",
            width_px=SIZE_PX[0],
            height_px=SIZE_PX[1],
            active_area_mm=HARBOUR_DESK_PANEL.active_area_mm,
            peak_cd_m2=HARBOUR_DESK_PANEL.peak_cd_m2,
            notes=NOTES,
            zones=harbour_desk_zones(*SIZE_PX),
            instrument="scpi-colorimeter",
            link="simulated",
            serial="SIM-1",
            aperture_mm=DEFAULT_PROBE.aperture_mm,
            floor_cd_m2=0.01,
            session_scale=DEFAULT_PROBE.session_scale,
            session_xy=DEFAULT_PROBE.session_xy,
            session_filters=0.0,  # the simulated probe's filters stand still against each other
            placement=DEFAULT_PROBE.placement,
            dark_noise_cd_m2=DEFAULT_PROBE.dark_noise_cd_m2,
        ),
    )


def check(wish: Wish) -> None:
    """Say what is wrong with a wish, or what is not installed for it, before anything is written."""
    from panelwear.simulation.rehearsal_camera import check_installed

    _source(wish)
    if wish.photographs_truth is not None:
        check_installed()


def rehearse(
    panel_dir: Path, wish: Wish, say: Say, on_progress: Callable[[float, Progress], None] | None = None
) -> tuple[Rehearsed, ...]:
    """Run all checkpoints into a panel folder that ``make_panel_folder`` made.

    Args:
        panel_dir: the panel folder.
        wish: seed, sequence and hours.
        say: called with one line a checkpoint.
        on_progress: called with the hours and the progress of the present checkpoint.
    """
    from panelwear.folder.lock import hold
    from panelwear.simulation.bench import VirtualBenchClock, off_screen

    panel = SimulatedPanel(HARBOUR_DESK_PANEL)
    clock = VirtualBenchClock(BEGAN)
    done: list[Rehearsed] = []
    with (
        hold(panel_dir),
        off_screen(SIZE_PX, clock, panel.model.active_area_mm, panel.model.peak_cd_m2) as screen,
    ):
        stage = _Stage(panel_dir, wish, screen, clock, on_progress)
        for number, hours in enumerate(wish.hours):
            clock.jump_to(BEGAN + timedelta(days=hours / HOURS_A_DAY))
            done.append(_one(stage, number, panel.at(hours, CYCLES)))
            say(f"{done[-1].checkpoint.name}: {_counted(done[-1])}")
    return tuple(done)


def _counted(one: Rehearsed) -> str:
    photographs = f", {counted(one.photographs, 'photograph')}" if one.photographs else ""
    return f"{counted(one.readings, 'reading')}{photographs}"


def _source(wish: Wish) -> Path:
    from panelwear.errors import FileFault
    from sequences import errors, reader

    try:
        source = reader.find(wish.sequence)
        reader.parse(source.read_bytes(), source.name)
    except errors.SequenceError as error:
        raise FileFault(error.problems) from None
    except OSError as error:
        raise FileFault((f"{wish.sequence}: cannot be read ({error.strerror})",)) from None
    return source


def _plan(panel_dir: Path, wish: Wish, number: int) -> SessionPlan:
    from panelwear.folder.panel import load_panel, load_probe_settings
    from panelwear.run.plan import plan_steps

    settings = load_probe_settings(panel_dir)
    return plan_steps(load_panel(panel_dir), settings, _source(wish), (wish.seed * 1000 + number) % 2**31)


@dataclass(frozen=True, slots=True)
class _Stage:
    """What stands still from checkpoint to checkpoint."""

    panel_dir: Path
    wish: Wish
    screen: WatchedScreen
    clock: VirtualBenchClock
    on_progress: Callable[[float, Progress], None] | None

    def eye(self, number: int, state: PanelState) -> SimulatedProbe:
        """Make the probe of one checkpoint; the panel is switched on at this moment."""
        clock, on_s = self.clock, self.clock.monotonic_s()
        return SimulatedProbe(
            state,
            self.screen.pixels,
            seed=self.wish.seed,
            checkpoint=number,
            now_s=lambda: clock.monotonic_s() - on_s,
            room_cd_m2=ROOM_CD_M2,
        )

    def operator(self, eye: SimulatedProbe, hours: float, last_cycle_h: float | None) -> ScriptedOperator:
        """Make the script of one checkpoint."""
        from panelwear.simulation.scripted import ScriptedOperator

        tell = self.on_progress
        since = {} if last_cycle_h is None else {"since_cycle_h": f"{hours - last_cycle_h:g}"}
        passed_on = None if tell is None else (lambda told: tell(hours, told))
        return ScriptedOperator({**ANSWERS, **since}, eye, self.clock, on_progress=passed_on)


def _one(stage: _Stage, number: int, state: PanelState) -> Rehearsed:
    from panelwear.folder.checkpoint import open_or_create
    from panelwear.probe_border import probe_errors
    from panelwear.run.plan import job_of
    from panelwear.run.session import run_checkpoint
    from panelwear.screen.bench import Bench
    from panelwear.simulation.bench import StampClock
    from probe_io.open import open_probe

    clock, eye = stage.clock, stage.eye(number, state)
    cycles = [cycle.at_h for cycle in state.cycles if cycle.at_h <= state.hours]
    operator = stage.operator(eye, state.hours, max(cycles, default=None))
    plan = _plan(stage.panel_dir, stage.wish, number)
    settings = plan.probe_settings
    probe = open_probe(settings.link, settings.instrument, source=eye, dwell=False, clock=StampClock(clock))
    with probe_errors():
        identity = probe.open()
        try:
            found = open_or_create(stage.panel_dir, plan.panel.name, state.hours, len(cycles), clock.utc())
            bench = Bench(stage.screen, clock, operator, probe)
            outcome = run_checkpoint(bench, job_of(plan, found, identity, False))
        finally:
            probe.close()
    taken = _photographed(stage, number, found, state, bench)
    found.close(clock.utc())
    return Rehearsed(found, len(outcome.rows), true_values(found.name, state, eye), taken)


def _photographed(stage: _Stage, number: int, found: Checkpoint, state: PanelState, bench: Bench) -> int:
    """Photograph the panel where that was wished; returns how many photographs there are."""
    from panelwear.simulation.rehearsal_camera import photograph

    truth = stage.wish.photographs_truth
    if truth is None:
        return 0
    return len(photograph(bench, found, state, truth, (stage.wish.seed * 1000 + number) % 2**31).photographs)


def true_values(name: str, state: PanelState, eye: SimulatedProbe) -> dict[str, Any]:
    """Give the true values at one checkpoint, and what the probe had wrong during it."""
    from panelwear.simulation.truth import truth_of

    return {"checkpoint": name, "probe_session": asdict(eye.session), **truth_of(state).as_json()}


def write_up(out: Path, wish: Wish, done: Sequence[Rehearsed], checkpoints: Sequence[Evidence]) -> list[Part]:
    """Write true values and pictures beside the panel folder; returns what to tell the person.

    Args:
        out: the rehearsal's folder.
        wish: what was rehearsed.
        done: what was run.
        checkpoints: what the panel folder holds of it, as ``load_evidence`` gives it.
    """
    from panelwear.atomic import write_json
    from panelwear.folder.panel import load_panel
    from panelwear.simulation.about import table
    from panelwear.simulation.pictures import draw_all
    from panelwear.simulation.rehearsal_folder import PANEL, PICTURES, TRUTH
    from panelwear.simulation.result import result_of

    panel = SimulatedPanel(HARBOUR_DESK_PANEL)
    write_json(
        out / TRUTH,
        {
            "what": NOTES,
            "seed": wish.seed,
            "panel": asdict(HARBOUR_DESK_PANEL),
            "compensation_cycles": [asdict(cycle) for cycle in CYCLES],
            "probe": asdict(DEFAULT_PROBE),
            "checkpoints": [one.true_values for one in done],
        },
    )
    result = result_of(checkpoints, load_panel(out / PANEL).facts(), [one.true_values for one in done])
    if not result.checkpoints:
        return []
    draw_all(out / PICTURES, result, [panel.at(e.hours, CYCLES) for e in result.checkpoints])
    return table(result)
