"""Options that commands which read the panel share."""

from __future__ import annotations

import argparse
from pathlib import Path


def add_run_arguments(parser: argparse.ArgumentParser, sequence: str) -> None:
    """Declare the options every inspection has."""
    parser.add_argument("directory", metavar="DIR", type=Path, help="panel folder (panelwear new)")
    parser.add_argument("--hours", type=float, metavar="H", help="hours of use the panel has now")
    parser.add_argument("--cycles", type=int, metavar="C", help="compensation cycles, if the panel counts them")
    parser.add_argument("--sequence", default=sequence, metavar="NAME|FILE", help=f"what to run (default {sequence})")
    parser.add_argument(
        "--warm-up",
        type=float,
        metavar="MIN",
        help="minutes of warm-up instead of the sequence's; when shorter, every row is flagged not-settled",
    )
    parser.add_argument("--seed", type=int, help="seed of shuffled orders (default: drawn and recorded)")
    parser.add_argument(
        "--locate", action="store_true", help="find the probe's place with the screen itself after each placement"
    )
    add_bench_arguments(parser)
    parser.add_argument("--dry-run", action="store_true", help="print steps, moves and the estimate; show nothing")


def add_bench_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the options for probe and screen."""
    parser.add_argument("--instrument", metavar="NAME|FILE", help="how the probe is spoken to (else probe.toml)")
    parser.add_argument("--probe", metavar="URL", help="where the probe is: device path, COM3, socket://…, keyboard")
    parser.add_argument("--no-probe", action="store_true", help="show the sequence for eye and camera only")
    parser.add_argument("--screen", type=int, metavar="N", help="monitor, as 'panelwear screens' counts")
    parser.add_argument("--allow-scaled", action="store_true", help="go on when pixels are scaled; flags every row")
    parser.add_argument("--borderless", action="store_true", help="a frameless window, for stubborn window managers")
    parser.add_argument("--yes", action="store_true", help="take all defaults, wait for nobody")
