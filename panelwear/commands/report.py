"""Write one HTML file of all checkpoints: what changed, how sure that is, pictures, and the readings inside."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from panelwear.commands.parsing import folder_to_write, place

if TYPE_CHECKING:
    from panelwear.report.content import Report
    from panelwear.report.inputs import Inputs


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("directory", metavar="DIR", type=Path, help="panel folder (panelwear new)")
    instead = parser.add_mutually_exclusive_group()
    instead.add_argument(
        "--out",
        metavar="FILE",
        type=place,
        help="where to (reports/<panel>-<date of the newest checkpoint>.html in the panel folder)",
    )
    instead.add_argument(
        "--markdown",
        action="store_true",
        help="print the three sentences, the main table and the caveats as Markdown instead",
    )
    instead.add_argument(
        "--figures",
        metavar="DIR",
        type=folder_to_write,
        help="write each figure alone instead: SVG and PNG, 1920 x 1080 and 1080 x 1080 pixels, light and dark; "
        "photographs as PNG up to 3840 x 2160, APNG and WebP",
    )
    parser.add_argument(
        "--grain", action="store_true", help="with --figures: a fixed fine grain on photographs, for video compression"
    )
    parser.add_argument(
        "--gain", metavar="N", type=float, help="exaggerate photographs N times, in all months alike (8)"
    )
    parser.add_argument("--as-it-is", action="store_true", help="count checkpoints that were changed afterwards too")


def run(arguments: argparse.Namespace) -> int:
    """Write it and say where it is; exit code 3 when a stored file is not as it was written."""
    from panelwear.errors import NotAsWritten, UsageError
    from panelwear.figures.load import load_panel_evidence
    from panelwear.report.build import prepared, write_report

    if arguments.grain and arguments.figures is None:
        raise UsageError("--grain: is for the pictures that --figures DIR writes; name the folder too")
    _refuse_gain(arguments.gain)
    loaded = load_panel_evidence(arguments.directory, as_it_is=arguments.as_it_is)
    if loaded.without_baseline:
        nonetheless = "no report is written; put it back from a copy, set it aside ('panelwear discard'), or --as-it-is"
        raise NotAsWritten((*loaded.faults, loaded.without_baseline, nonetheless))
    exit_code = NotAsWritten.exit_code if loaded.faults else 0
    if arguments.markdown or arguments.figures is not None:
        known = prepared(
            arguments.directory, checkpoints=loaded.checkpoints, faults=loaded.faults, readings=False,
            gain=arguments.gain,
        )  # fmt: skip
        _instead(known, arguments)
        return exit_code
    written = write_report(
        arguments.directory, arguments.out, checkpoints=loaded.checkpoints, faults=loaded.faults, gain=arguments.gain
    )
    for sentence in loaded.faults:
        print(f"{sentence}.")
    size = "" if arguments.quiet else f": {written.stat().st_size / 1e6:.1f} MB, opens in any browser, needs no network"
    print(f"{written}{size}")
    return exit_code


def _refuse_gain(gain: float | None) -> None:
    from panelwear.camera.showing.tone import LEAST_GAIN, MOST_GAIN
    from panelwear.errors import UsageError

    if gain is not None and not LEAST_GAIN < gain <= MOST_GAIN:
        raise UsageError(
            f"--gain {gain:g}: wanted more than {LEAST_GAIN:g}, which shows photographs as they are and is always"
            f" there, and {MOST_GAIN:g} at most"
        )


def _instead(known: tuple[Inputs, Report], arguments: argparse.Namespace) -> None:
    """Write each figure alone, or print the report as Markdown."""
    inputs, report = known
    figures: Path | None = arguments.figures
    if figures is None:
        from panelwear.report.markdown import markdown_of

        print(markdown_of(report), end="")
        return
    from panelwear.report.single import source_of, write_figures, write_photographs

    written = write_figures(report, figures, alone_too=bool(inputs.views))
    shown = write_photographs(inputs.views, figures, source_of(report), grain=arguments.grain) if inputs.views else ()
    for sentence in report.faults:
        print(sentence)
    print(f"{figures}: {len(report.pictures)} figures in {len(written)} files")
    if shown:
        print(f"{figures}: photographs in {len(shown)} files")
