"""Take 20 readings of a steady field, then the covered probe's zero, and say how far the probe can be trusted."""

from __future__ import annotations

import argparse
import math
import statistics
from collections.abc import Sequence
from typing import TYPE_CHECKING

from panelwear.commands.probe_options import add_probe_options, opened, take
from panelwear.commands.probe_read import chromaticity
from panelwear.errors import UsageError
from panelwear.probe_border import probe_words
from panelwear.telling.out import tell
from panelwear.telling.parts import EMPTY, Column, Part, Prose, aside, grid, one_more, paragraphs
from panelwear.telling.words import counted, true_minus
from panelwear.uncertainty.formatting import rounded

if TYPE_CHECKING:
    from probe_io.reading import Probe, Reading

ZERO_READINGS = 5
DOUBTFUL_ZERO_CD_M2 = 1.0
EACH = (
    Column("reading", number=True, at_least=7),
    Column("Y", "cd/m²", number=True, at_least=10),
    Column("x", number=True, at_least=7),
    Column("y", number=True, at_least=7),
    Column("took", "s", number=True, at_least=7),
    Column("flags"),
)
ROOM_SHARE = 20
"""Light that is not the patch's must stay under 1/20 of it: common practice, no source."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the probe's options, the number of readings, and whether the zero is taken."""
    add_probe_options(parser)
    parser.add_argument("--readings", metavar="N", type=int, default=20, help="how many readings (20)")
    parser.add_argument(
        "--zero", choices=("ask", "covered", "no"), default="ask", help="the covered probe's zero (ask)"
    )


def run(arguments: argparse.Namespace) -> int:
    """Take the readings and print mean, spread and times."""
    if not 2 <= arguments.readings <= 1000:
        raise UsageError(f"--readings {arguments.readings}: wanted 2 to 1000; a spread needs two")
    with opened(arguments) as (probe, identity):
        tell([Prose(f"Probe: {probe_words(identity)}", aside=True)], quiet=arguments.quiet)
        if arguments.zero != "covered":
            _steady(probe, arguments)
        if arguments.zero == "covered" or (arguments.zero == "ask" and _covered()):
            tell(_zero([take(probe, arguments.integration) for _ in range(ZERO_READINGS)]))
    if arguments.transcript:
        tell([Prose(f"Every byte is in {arguments.transcript}", aside=True)], quiet=arguments.quiet)
    return 0


def _steady(probe: Probe, arguments: argparse.Namespace) -> None:
    readings: list[Reading] = []
    quiet: bool = arguments.quiet
    head = Prose("Readings of one steady field; a mid-grey, warmed up, is best.")
    tell(aside(head, EMPTY, grid(EACH, [])), quiet=quiet)
    for number in range(1, arguments.readings + 1):
        reading = take(probe, arguments.integration)
        readings.append(reading)
        tell(aside(one_more(EACH, _cells(number, reading))), quiet=quiet)
    tell([*aside(EMPTY), *_summary(readings)], quiet=quiet)


def _cells(number: int, reading: Reading) -> list[str]:
    places = chromaticity(reading)
    luminance = "-" if reading.Y_cd_m2 is None else true_minus(f"{reading.Y_cd_m2:.5g}")
    x, y = ("-", "-") if places is None else (true_minus(f"{places[0]:.4f}"), true_minus(f"{places[1]:.4f}"))
    flags = " ".join(reading.flags) or "ok"
    return [str(number), luminance, x, y, f"{reading.took_s:.3f}", f"{flags}{reading.note and f'  {reading.note}'}"]


def _summary(readings: Sequence[Reading]) -> list[Part]:
    whole = [r for r in readings if r.Y_cd_m2 is not None and "over-range" not in r.flags]
    usable = f"{len(whole)} of {counted(len(readings), 'reading')} usable"
    said: list[Part] = [Prose(f"{usable}, {_count(readings, 'retried')} of them after another try")]
    rows: list[tuple[str, str]] = []
    if len(whole) > 1:
        Y = [r.Y_cd_m2 for r in whole if r.Y_cd_m2 is not None]
        mean, spread = statistics.fmean(Y), statistics.stdev(Y)
        share = f" ({100 * spread / mean:.2f} %)" if mean > 0 and spread > 0 else ""
        of_mean = f", standard uncertainty of the mean {spread / math.sqrt(len(Y)):.2g} cd/m²" if spread > 0 else ""
        rows.append(("luminance", f"{_mean(Y)} cd/m², {_deviation(spread)}{share}{of_mean}"))
        places = [p for p in map(chromaticity, whole) if p is not None]
        if len(places) > 1:
            for name, at in (("x", 0), ("y", 1), ("u'", 2), ("v'", 3)):
                values = [p[at] for p in places]
                rows.append((name, f"{_mean(values)}, {_deviation(statistics.stdev(values), unit='')}"))
    took = sorted(r.took_s for r in readings)
    rows.append(("time each", f"{statistics.median(took):.3f} s in the middle, {took[0]:.3f} s to {took[-1]:.3f} s"))
    return [*said, grid(("", ""), rows)]


def _mean(values: Sequence[float]) -> str:
    """Return a mean to the second digit of its standard uncertainty; five digits where all values are equal."""
    u = statistics.stdev(values) / math.sqrt(len(values))
    return rounded(statistics.fmean(values), u) if u > 0 else true_minus(f"{statistics.fmean(values):.5g}")


def _count(readings: Sequence[Reading], flag: str) -> int:
    return sum(flag in r.flags and r.Y_cd_m2 is not None for r in readings)


def _covered() -> bool:
    try:
        answer = input(
            "\nCover the probe with its cap or lay it on black felt, then press Return ('no' leaves it out): "
        )
    except EOFError:
        answer = "no"
    if answer.strip().lower() in {"", "y", "yes"}:
        return True
    tell([Prose("Zero of the covered probe: not taken.")])
    return False


def _zero(readings: Sequence[Reading]) -> list[Part]:
    Y = [r.Y_cd_m2 for r in readings if r.Y_cd_m2 is not None]
    if len(Y) < 2:
        notes = "; ".join(dict.fromkeys(r.note for r in readings if r.note))
        return [Prose(f"Zero of the covered probe: no luminance came ({notes or 'no reason given'}).")]
    mean, spread = statistics.fmean(Y), statistics.stdev(Y)
    told = f"{true_minus(f'{mean:.4f}')} cd/m², {_deviation(spread, '.4f')}, {counted(len(Y), 'reading')}"
    said = [f"Zero of the covered probe: {told}"]
    if mean > DOUBTFUL_ZERO_CD_M2:
        said.append("That is bright for a covered probe: is the cap on, and no light coming in from the side?")
    worst = max(abs(mean), spread)
    if worst > 0.0:
        said.append(f"Patches darker than {ROOM_SHARE * worst:.2g} cd/m² carry an error from it of more than 5 %.")
    return paragraphs(*said)


def _deviation(spread: float, form: str = ".2g", unit: str = " cd/m²") -> str:
    if spread == 0.0:
        return "all readings equal to the last digit: the spread is smaller than the probe's resolution"
    return f"standard deviation of one reading {spread:{form}}{unit}"
