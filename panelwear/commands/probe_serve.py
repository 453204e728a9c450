"""Be a simulated colorimeter that answers real bytes, for trying things out; this machine alone can reach it."""

from __future__ import annotations

import argparse
import csv
import io
import os
import threading
from pathlib import Path
from typing import TYPE_CHECKING

from groundwork.files import content
from panelwear.errors import FileFault, UsageError
from panelwear.telling.out import tell
from panelwear.telling.parts import Prose

if TYPE_CHECKING:
    from probe_io.simulated import Fault, LightSource


MOST_TOLD = 20
"""Rows that are wrong in a file of light, told one by one."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what it sees, how it is reached and what goes wrong."""
    parser.add_argument(
        "--values",
        metavar="constant|FILE|screen",
        default="constant",
        help="the light it sees: --xyz, the rows of a CSV file (X_cd_m2, Y_cd_m2, Z_cd_m2), or an X screen",
    )
    parser.add_argument("--xyz", metavar=("X", "Y", "Z"), nargs=3, type=float, help="for constant, in cd/m²")
    parser.add_argument("--dialect", default="scpi-colorimeter", help="name of a shipped instrument file")
    parser.add_argument("--transport", choices=("tcp", "pty"), default="tcp", help="tcp (anywhere) or pty (POSIX)")
    parser.add_argument("--port", type=int, default=0, help="TCP port; a free one when left out")
    parser.add_argument("--serial", metavar="WORD", default="0", help="serial number it introduces itself with (0)")
    parser.add_argument("--no-dwell", action="store_true", help="answer at once instead of after the integration time")
    parser.add_argument(
        "--fault",
        metavar="KIND[:S][@FIRST][xTIMES]",
        action="append",
        default=[],
        help="what goes wrong: delay, garbage, half, silence, over-range, low-light, busy, broken, wrong-identity, "
        "other-serial, disconnect; from which reading on, for how many (x0: for ever); may be repeated",
    )
    screen = parser.add_argument_group("with --values screen")
    screen.add_argument("--display", default=os.environ.get("DISPLAY", ""), help="X display to look at ($DISPLAY)")
    screen.add_argument("--at", metavar="X,Y", help="centre of the aperture in pixels (the middle of the screen)")
    screen.add_argument("--aperture", metavar="MM", type=float, default=10.0, help="diameter in mm (10)")
    screen.add_argument("--hours", metavar="H", type=float, default=0.0, help="age of the simulated panel in hours (0)")
    screen.add_argument("--seed", type=int, default=1, help="seed of the simulated panel and probe (1)")
    parser.add_argument("--for", dest="for_s", metavar="S", type=float, help="end after this many seconds")


def run(arguments: argparse.Namespace) -> int:
    """Serve until interrupted."""
    from probe_io.simulated import serve

    faults = _faults(arguments.fault)
    if not (arguments.serial.isascii() and arguments.serial.isalnum()):
        raise UsageError(f"--serial {arguments.serial}: wanted letters and digits, such as 0042")
    source = _source(arguments)
    try:
        server = serve(
            arguments.dialect,
            source,
            arguments.transport,
            faults,
            dwell=not arguments.no_dwell,
            port=arguments.port,
            serial=arguments.serial,
        )
    except (ValueError, OSError, OverflowError, ImportError) as error:
        raise UsageError(f"the simulated probe cannot be served: {error}") from error
    with server:
        print(f"url: {server.url}", flush=True)
        said = f"Use it with --instrument {arguments.dialect} --probe {server.url}; Ctrl-C ends it."
        tell([Prose(said, aside=True)], quiet=arguments.quiet)
        _wait(arguments.for_s)
    return 0


def _wait(seconds: float | None) -> None:
    import signal

    done = threading.Event()
    before = signal.signal(signal.SIGTERM, lambda *_: done.set())
    try:
        done.wait(seconds)
    except KeyboardInterrupt:
        pass  # the usual way to end a server
    finally:
        signal.signal(signal.SIGTERM, before)


def _faults(texts: list[str]) -> list[Fault]:
    from probe_io.simulated import parse_fault

    try:
        return [parse_fault(text) for text in texts]
    except ValueError as error:
        raise UsageError(f"--fault {error}") from error


def _source(arguments: argparse.Namespace) -> LightSource:
    from probe_io.simulated import WHITE_D65, listed, steady

    if arguments.values == "constant":
        return steady(*(arguments.xyz or WHITE_D65))
    if arguments.values == "screen":
        return _screen(arguments)
    return listed(_rows(Path(arguments.values)))


def _screen(arguments: argparse.Namespace) -> LightSource:
    if not arguments.display:
        raise UsageError("--values screen: there is no X display; give --display, such as --display :0")
    from panelwear.simulation.screen_light import ScreenLight

    source: LightSource = ScreenLight(
        arguments.display,
        _point(arguments.at),
        arguments.aperture,
        arguments.seed,
        hours=arguments.hours,
    )
    return source


def _point(text: str | None) -> tuple[float, float] | None:
    if text is None:
        return None
    try:
        x, y = (float(part) for part in text.split(","))
    except ValueError:
        raise UsageError(f"--at {text}: wanted two numbers of pixels, such as 960,540") from None
    return x, y


def _rows(path: Path) -> list[tuple[float, float, float]]:
    problems: list[str] = []
    found: list[tuple[float, float, float]] = []
    try:
        with io.StringIO(content(path).decode("utf-8-sig"), newline="") as file:
            for row in csv.DictReader(file):
                try:
                    found.append((float(row["X_cd_m2"]), float(row["Y_cd_m2"]), float(row["Z_cd_m2"])))
                except (KeyError, TypeError, ValueError):
                    line = len(found) + len(problems) + 1
                    problems.append(f"{path}: row {line}: wanted a number in each of X_cd_m2, Y_cd_m2, Z_cd_m2")
    except (OSError, UnicodeDecodeError, csv.Error) as error:
        raise FileFault((f"{path}: cannot be read as CSV: {error}",)) from error
    if not found and not problems:
        problems.append(f"{path}: holds no rows; wanted columns X_cd_m2, Y_cd_m2, Z_cd_m2")
    if problems:
        more = (f"{path}: and {len(problems) - MOST_TOLD} more",) if len(problems) > MOST_TOLD else ()
        raise FileFault((*problems[:MOST_TOLD], *more))
    return found
