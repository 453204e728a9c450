"""Turn the photographs of a shoot into maps of light; the photographs themselves are never changed."""

from __future__ import annotations

import argparse
from pathlib import Path

from panelwear.telling.out import tell
from panelwear.telling.parts import Column, grid

COLUMNS = (Column("file"), Column("kind"), Column("size", "MB", number=True), Column("SHA-256", optional=True))


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("directory", metavar="DIR", type=Path, help="panel folder (panelwear new)")
    parser.add_argument("files", metavar="FILES", type=Path, nargs="+", help="photographs of one shoot")
    parser.add_argument("--dry-run", action="store_true", help="say which photograph is taken for which shot, no more")


def run(arguments: argparse.Namespace) -> int:
    """Say what the files are."""
    from panelwear.camera.photographs.kinds import photo_file

    found = [photo_file(path) for path in arguments.files]
    rows = [(one.path.name, one.kind, f"{one.size_bytes / 1e6:.1f}", one.sha256[:12]) for one in found]
    tell([grid(COLUMNS, rows)])
    return 0
