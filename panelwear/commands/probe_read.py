"""Take one reading and print it in labelled columns."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from panelwear.commands.probe_options import add_probe_options, opened, take
from panelwear.probe_border import probe_words

if TYPE_CHECKING:
    from probe_io.reading import Reading

COLUMNS = (
    ("X", "cd/m²"),
    ("Y", "cd/m²"),
    ("Z", "cd/m²"),
    ("x", "1"),
    ("y", "1"),
    ("u'", "1"),
    ("v'", "1"),
    ("integration", "s"),
    ("took", "s"),
)
WIDTH = 12


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the options that name the probe."""
    add_probe_options(parser)


def run(arguments: argparse.Namespace) -> int:
    """Take the reading; a reading without luminance ends with exit code 4."""
    with opened(arguments) as (probe, identity):
        reading = take(probe, arguments.integration)
    print(f"Probe: {probe_words(identity)}")
    print("".join(f"{name:>{WIDTH}}" for name, _ in COLUMNS) + "  flags")
    print("".join(f"{unit:>{WIDTH}}" for _, unit in COLUMNS))
    print("".join(f"{cell:>{WIDTH}}" for cell in _cells(reading)) + f"  {' '.join(reading.flags) or 'ok'}")
    if reading.note:
        print(f"Note: {reading.note}")
    if reading.Y_cd_m2 is None:
        return 0 if "skipped" in reading.flags else 4
    print("One reading says nothing of its own spread; 'panelwear probe check' takes 20.")
    return 0


def chromaticity(reading: Reading) -> tuple[float, float, float, float] | None:
    """Return x, y, u', v' (CIE 15), or ``None`` where the reading has none."""
    X, Y, Z = reading.X_cd_m2, reading.Y_cd_m2, reading.Z_cd_m2
    if X is None or Y is None or Z is None or X + Y + Z <= 0.0 or X + 15.0 * Y + 3.0 * Z <= 0.0:
        return None
    total, weighted = X + Y + Z, X + 15.0 * Y + 3.0 * Z
    return X / total, Y / total, 4.0 * X / weighted, 9.0 * Y / weighted


def _cells(reading: Reading) -> list[str]:
    light = (reading.X_cd_m2, reading.Y_cd_m2, reading.Z_cd_m2)
    cells = ["-" if value is None else f"{value:.5g}" for value in light]
    places = chromaticity(reading)
    cells += ["-"] * 4 if places is None else [f"{value:.4f}" for value in places]
    return [*cells, f"{reading.integration_s:.3g}", f"{reading.took_s:.3f}"]
