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

if TYPE_CHECKING:
    from probe_io.reading import Probe, Reading

ZERO_READINGS = 5
DOUBTFUL_ZERO_CD_M2 = 1.0
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
        print(f"Probe: {probe_words(identity)}")
        if arguments.zero != "covered":
            _steady(probe, arguments)
        if arguments.zero == "covered" or (arguments.zero == "ask" and _covered()):
            _zero([take(probe, arguments.integration) for _ in range(ZERO_READINGS)])
    if arguments.transcript:
        print(f"Every byte is in {arguments.transcript}")
    return 0


def _steady(probe: Probe, arguments: argparse.Namespace) -> None:
    readings: list[Reading] = []
    print("Readings of one steady field; a mid-grey, warmed up, is best.\n")
    print(f"{'reading':>8}{'Y cd/m²':>12}{'x':>9}{'y':>9}{'took s':>9}  flags")
    for number in range(1, arguments.readings + 1):
        reading = take(probe, arguments.integration)
        readings.append(reading)
        places = chromaticity(reading)
        luminance = "-" if reading.Y_cd_m2 is None else f"{reading.Y_cd_m2:.5g}"
        x, y = ("-", "-") if places is None else (f"{places[0]:.4f}", f"{places[1]:.4f}")
        note = f"  {reading.note}" if reading.note else ""
        flags = " ".join(reading.flags) or "ok"
        print(f"{number:>8}{luminance:>12}{x:>9}{y:>9}{reading.took_s:>9.3f}  {flags}{note}", flush=True)
    _summary(readings)


def _summary(readings: Sequence[Reading]) -> None:
    whole = [r for r in readings if r.Y_cd_m2 is not None and "over-range" not in r.flags]
    print(f"\n{len(whole)} of {len(readings)} readings usable, {_count(readings, 'retried')} of them after another try")
    if len(whole) > 1:
        Y = [r.Y_cd_m2 for r in whole if r.Y_cd_m2 is not None]
        mean, spread = statistics.fmean(Y), statistics.stdev(Y)
        share = f" ({100 * spread / mean:.2f} %)" if mean > 0 and spread > 0 else ""
        of_mean = f", standard uncertainty of the mean {spread / math.sqrt(len(Y)):.2g} cd/m²" if spread > 0 else ""
        print(f"{'luminance':<12} {mean:.5g} cd/m², {_deviation(spread)}{share}{of_mean}")
        places = [p for p in map(chromaticity, whole) if p is not None]
        if len(places) > 1:
            for name, at in (("x", 0), ("y", 1), ("u'", 2), ("v'", 3)):
                values = [p[at] for p in places]
                print(f"{name:<12} {statistics.fmean(values):.5f}, {_deviation(statistics.stdev(values), unit='')}")
    took = sorted(r.took_s for r in readings)
    print(f"time each    {statistics.median(took):.3f} s in the middle, {took[0]:.3f} s to {took[-1]:.3f} s")


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
    print("Zero of the covered probe: not taken.")
    return False


def _zero(readings: Sequence[Reading]) -> None:
    Y = [r.Y_cd_m2 for r in readings if r.Y_cd_m2 is not None]
    if len(Y) < 2:
        notes = "; ".join(dict.fromkeys(r.note for r in readings if r.note))
        print(f"Zero of the covered probe: no luminance came ({notes or 'no reason given'}).")
        return
    mean, spread = statistics.fmean(Y), statistics.stdev(Y)
    print(f"Zero of the covered probe: {mean:.4f} cd/m², {_deviation(spread, '.4f')}, {len(Y)} readings")
    if mean > DOUBTFUL_ZERO_CD_M2:
        print("That is bright for a covered probe: is the cap on, and no light coming in from the side?")
    worst = max(abs(mean), spread)
    if worst > 0.0:
        print(f"Patches darker than {ROOM_SHARE * worst:.2g} cd/m² carry an error from it of more than 5 %.")


def _deviation(spread: float, form: str = ".2g", unit: str = " cd/m²") -> str:
    if spread == 0.0:
        return "all readings equal to the last digit: the spread is smaller than the probe's resolution"
    return f"standard deviation of one reading {spread:{form}}{unit}"
