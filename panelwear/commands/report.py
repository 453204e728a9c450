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


def run(arguments: argparse.Namespace) -> int:
    """Write it and say where it is."""
    from panelwear.report.build import write_report

    written = write_report(arguments.directory, arguments.out)
    print(f"{written}: {written.stat().st_size / 1e6:.1f} MB, opens in any browser, needs no network")
    return 0
