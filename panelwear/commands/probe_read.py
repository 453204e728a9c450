"""Take one reading and print it in labelled columns."""

from __future__ import annotations

import argparse
import json
from typing import TYPE_CHECKING

from panelwear.commands.probe_options import add_probe_options, opened, take
from panelwear.probe_border import probe_words
from panelwear.telling.out import tell
from panelwear.telling.parts import Column, Part, Prose, grid, paragraphs
from panelwear.telling.words import true_minus

if TYPE_CHECKING:
    from probe_io.reading import Reading

COLUMNS = (
    ("X", "cd/m²"),
    ("Y", "cd/m²"),
    ("Z", "cd/m²"),
    ("x", ""),
    ("y", ""),
    ("u'", ""),
    ("v'", ""),
    ("integration", "s"),
    ("took", "s"),
)
ONE_READING = "One reading says nothing of its own spread; 'panelwear probe check' takes 20."


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the options that name the probe."""
    add_probe_options(parser)
    parser.add_argument("--json", action="store_true", help="the reading as JSON")


def run(arguments: argparse.Namespace) -> int:
    """Take the reading; a reading without luminance ends with exit code 4."""
    with opened(arguments) as (probe, identity):
        reading = take(probe, arguments.integration)
    if arguments.json:
        print(json.dumps(_data(reading), ensure_ascii=False, indent=1))
    else:
        said: list[Part] = [Prose(f"Probe: {probe_words(identity)}", aside=True)]
        said.append(grid([Column(name, unit, number=True) for name, unit in COLUMNS], [_cells(reading)]))
        said.append(Prose(f"flags: {' '.join(reading.flags) or 'ok'}"))
        said += paragraphs(f"Note: {reading.note}") if reading.note else []
        if reading.Y_cd_m2 is not None:
            said.append(Prose(ONE_READING, aside=True))
        tell(said, quiet=arguments.quiet)
    return 4 if reading.Y_cd_m2 is None and "skipped" not in reading.flags else 0


def _data(reading: Reading) -> dict[str, object]:
    """Return a reading as plain data, as the instrument gave it; what it has not is ``None``."""
    places = chromaticity(reading) or (None,) * 4
    return {
        "X_cd_m2": reading.X_cd_m2,
        "Y_cd_m2": reading.Y_cd_m2,
        "Z_cd_m2": reading.Z_cd_m2,
        **dict(zip(("x", "y", "u_prime", "v_prime"), places, strict=True)),
        "integration_s": reading.integration_s,
        "took_s": reading.took_s,
        "flags": list(reading.flags),
        "note": reading.note,
    }


def chromaticity(reading: Reading) -> tuple[float, float, float, float] | None:
    """Return x, y, u', v' (CIE 15), or ``None`` where the reading has none."""
    X, Y, Z = reading.X_cd_m2, reading.Y_cd_m2, reading.Z_cd_m2
    if X is None or Y is None or Z is None or X + Y + Z <= 0.0 or X + 15.0 * Y + 3.0 * Z <= 0.0:
        return None
    total, weighted = X + Y + Z, X + 15.0 * Y + 3.0 * Z
    return X / total, Y / total, 4.0 * X / weighted, 9.0 * Y / weighted


def _cells(reading: Reading) -> list[str]:
    light = (reading.X_cd_m2, reading.Y_cd_m2, reading.Z_cd_m2)
    cells = ["-" if value is None else true_minus(f"{value:.5g}") for value in light]
    places = chromaticity(reading)
    cells += ["-"] * 4 if places is None else [true_minus(f"{value:.4f}") for value in places]
    return [*cells, f"{reading.integration_s:.3g}", f"{reading.took_s:.3f}"]
