"""Write one HTML file of all checkpoints: what changed, how sure that is, pictures, and the readings inside."""

from __future__ import annotations

import argparse
from pathlib import Path


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("directory", metavar="DIR", type=Path, help="panel folder (panelwear new)")
    parser.add_argument(
        "--out",
        metavar="FILE",
        type=Path,
        help="where to (reports/<panel>-<date of the newest checkpoint>.html in the panel folder)",
    )
    parser.add_argument("--as-it-is", action="store_true", help="count checkpoints that were changed afterwards too")


def run(arguments: argparse.Namespace) -> int:
    """Write it and say where it is; exit code 3 when a stored file is not as it was written."""
    from panelwear.errors import NotAsWritten
    from panelwear.figures.load import load_panel_evidence
    from panelwear.report.build import write_report

    loaded = load_panel_evidence(arguments.directory, as_it_is=arguments.as_it_is)
    if loaded.without_baseline:
        nonetheless = "no report is written; put it back from a copy, set it aside ('panelwear discard'), or --as-it-is"
        raise NotAsWritten((*loaded.faults, loaded.without_baseline, nonetheless))
    written = write_report(arguments.directory, arguments.out, checkpoints=loaded.checkpoints, faults=loaded.faults)
    for sentence in loaded.faults:
        print(f"{sentence}.")
    print(f"{written}: {written.stat().st_size / 1e6:.1f} MB, opens in any browser, needs no network")
    return NotAsWritten.exit_code if loaded.faults else 0
