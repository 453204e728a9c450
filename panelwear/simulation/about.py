"""What a rehearsal says of itself, on the terminal and in ``about.txt``."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from panelwear.compare.formatting import verdict
from panelwear.figures.checkpoint import figures_of
from panelwear.simulation.model import PanelModel
from panelwear.simulation.probe import ProbeModel
from panelwear.simulation.result import RehearsalResult
from panelwear.telling.parts import EMPTY, Column, Part, Prose, grid
from panelwear.telling.words import percent, true_minus
from panelwear.uncertainty.formatting import NONE, rounded, with_uncertainty

CAMERA = (
    "The photographs are simulated too, by a camera with noise, lens and filters of its own that sees the pixels the "
    "screen was given; true light of each cell and true places of the panel in the frame stand in true-photographs/."
)


def about(model: PanelModel, probe: ProbeModel, seed: int, *, camera: bool = False) -> list[Part]:
    """Say what is simulated, in plain words; ``camera``: photographs too."""
    wide, high = model.active_area_mm
    full = model.peak_cd_m2 * model.limiter.full_share
    said = (
        "This is a rehearsal. There was no panel and no probe: both are simulated, and every number is invented.",
        f"The panel '{model.name}' is {wide:g} x {high:g} mm, three primaries, peak {model.peak_cd_m2:g} cd/m² in "
        f"small windows and {full:.0f} cd/m² at a full field (a brightness limiter above a load of "
        f"{percent(model.limiter.knee)}). It drifts while it warms up, is uneven from the factory, wears where it "
        "shows much light for long (stretched exponential of the luminance dose, blue fastest), and runs one "
        "compensation cycle between 2000 and 3100 h of use.",
        f"The probe is the default simulated probe: repeatability {percent(probe.repeatability)}, placement "
        f"{percent(probe.placement)}, session scale {percent(probe.session_scale)}, session x and y "
        f"{probe.session_xy:g}, dark noise {probe.dark_noise_cd_m2:g} cd/m², aperture {probe.aperture_mm:g} mm. It "
        "reads the pixels that the (invisible) screen really holds, and answers over a real socket as a colorimeter "
        "would.",
        "Real are the sequence, the engine, the flash governor, the link with its deadlines, the files. Time is "
        f"virtual. The true values of each checkpoint stand in true-values.json. Same seed ({seed}), same readings.",
    )
    told = (*said, CAMERA) if camera else said
    parts: list[Part] = [part for sentence in told for part in (Prose(sentence, hang=0), EMPTY)]
    return parts[:-1]


WHITE = (("luminance", "white.Y"), ("u'", "white.u_prime"), ("v'", "white.v_prime"), ("CCT", "white.cct"),
         ("Duv", "white.duv"))  # fmt: skip


def table(result: RehearsalResult) -> list[Part]:
    """Put what was read beside what is true: white at each checkpoint, then the zones with their verdicts."""
    return [*_white(result), *_zones(result)]


def _white(result: RehearsalResult) -> list[Part]:
    rows: list[tuple[str, str, str, str]] = []
    for evidence, true in zip(result.checkpoints, result.true_values, strict=True):
        figures = figures_of(evidence)
        if "white.Y" not in figures:
            continue
        told = [with_uncertainty(figures[key]) if key in figures else NONE for _, key in WHITE]
        hours = [f"{evidence.hours:g} h", *[""] * (len(WHITE) - 1)]
        names = [name for name, _ in WHITE]
        rows += zip(hours, names, told, _true_white(true), strict=True)
    if not rows:
        return []
    columns = (Column("use", number=True), Column("white"), Column("read, ± at 95 %", breaks=False), Column("true"))
    return [
        EMPTY, Prose("White: as 'inspect' and 'report' state it, beside what is true."), grid(columns, rows, 2)
    ]  # fmt: skip


def _true_white(true: Mapping[str, Any]) -> list[str]:
    u, v = true["white_uv_prime"]
    numbers = (f"{true['white_XYZ'][1]:.1f} cd/m²", f"{u:.5f}", f"{v:.5f}", f"{true['white_cct_K']:.0f} K",
               f"{true['white_duv']:.5f}")  # fmt: skip
    return [true_minus(number) for number in numbers]


def _zones(result: RehearsalResult) -> list[Part]:
    pair = result.since_baseline
    rows = [
        (row.name.removeprefix("zone/"), with_uncertainty(row.change.step, signed=True),
         f"{rounded(result.true_change(row.name.removeprefix('zone/')), 0.1, signed=True)} %",
         verdict(row.judged, row.change.step.unit))
        for row in (pair.rows if pair is not None else ())
        if row.name.startswith("zone/")
    ]  # fmt: skip
    if pair is None or not rows:
        return []
    head = (
        f"Zones against their references, {pair.after.hours:g} h against {pair.before.hours:g} h "
        "(greys; the verdict is that of 'compare'):"
    )
    columns = (Column("zone"), Column("read, ± at 95 %", breaks=False), Column("true", breaks=False), Column("verdict"))
    return [EMPTY, Prose(head), grid(columns, rows, 2)]
