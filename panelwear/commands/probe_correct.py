"""Make a correction matrix for a filter colorimeter from readings beside a reference instrument.

Show red, green, blue and white at full drive, read each with both instruments at the same place, and put the numbers
into a CSV file (--template prints an empty one). The matrix is for this panel only, and only while white is the sum
of red, green and blue.
"""

from __future__ import annotations

import argparse
import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from panelwear.commands.parsing import place
from panelwear.errors import FileFault, UsageError
from panelwear.telling.out import tell
from panelwear.telling.parts import EMPTY, Column, Part, Prose, aside, grid, paragraphs
from panelwear.telling.words import true_minus

if TYPE_CHECKING:
    from panelwear.colorimetry.correction import Correction, Residual
    from panelwear.colorimetry.pairs import Pairs

FOUR = ("red", "green", "blue", "white")
ADDITIVE_WITHIN = 0.02
"""White may differ by this share from red + green + blue before the person is told (common practice, no source)."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the file of pairs, the method, and what is written down with the matrix."""
    parser.add_argument("pairs", metavar="PAIRS.csv", type=Path, nargs="?", help="paired readings")
    parser.add_argument("--template", action="store_true", help="print an empty file of pairs and end")
    parser.add_argument(
        "--method",
        choices=("four-colour", "least-squares"),
        default="four-colour",
        help="four-colour (red, green, blue, white by chromaticity) or least-squares (all colours; ASTM E1455)",
    )
    parser.add_argument("--panel", metavar="NAME", default="", help="the panel the readings were taken on")
    parser.add_argument("--reference", metavar="NAME", default="", help="the reference instrument, as you call it")
    parser.add_argument("--date", metavar="YYYY-MM-DD", default="", help="date of the readings (today)")
    parser.add_argument("--out", metavar="FILE", type=place, default=Path("correction.toml"), help="correction.toml")
    parser.add_argument(
        "--force", action="store_true", help="write over an older file; with --because also what cannot be right"
    )
    parser.add_argument("--because", metavar="REASON", default="", help="why it is right nonetheless; stored with it")


def run(arguments: argparse.Namespace) -> int:
    """Make the matrix, say what it leaves, write the file."""
    from groundwork.files import content
    from panelwear.atomic import write_out
    from panelwear.colorimetry.correction import correction_text
    from panelwear.colorimetry.pairs import TEMPLATE, read_pairs

    if arguments.template:
        print(TEMPLATE, end="")
        return 0
    if arguments.pairs is None:
        raise UsageError("Which readings? Give a CSV file of pairs; --template prints an empty one.")
    if arguments.out.exists() and not arguments.force:
        raise UsageError(
            f"{arguments.out} is there already. Old checkpoints belong to it: "
            "choose another name with --out, or --force."
        )
    try:
        text = content(arguments.pairs).decode("utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise UsageError(f"{arguments.pairs} cannot be read: {error}.") from None
    pairs = read_pairs(text, str(arguments.pairs))
    made = _unobjected(_made(pairs, arguments), pairs, arguments)
    tell([*_matrix(made), *aside(*_what_it_leaves(made, pairs))], quiet=arguments.quiet)
    write_out(arguments.out, correction_text(made).encode(), _is_correction, "correction file")
    said = f'Written to {arguments.out}. To have it used, put  correction = "{arguments.out.name}"  into probe.toml.'
    tell(aside(EMPTY, Prose(said)), quiet=arguments.quiet)
    return 0


def _is_correction(head: bytes) -> bool:
    return all(re.search(rf"^{key}\s*=", head.decode("utf-8", "replace"), re.MULTILINE) for key in ("matrix", "method"))


def _made(pairs: Pairs, arguments: argparse.Namespace) -> Correction:
    from panelwear.colorimetry.correction import Correction, four_colour, least_squares, residuals_of

    if arguments.method == "four-colour":
        try:
            matrix = four_colour(*pairs.of(*FOUR))
        except KeyError as missing:
            raise UsageError(
                f"{arguments.pairs}: there is no {missing.args[0]}; the four-colour method needs {', '.join(FOUR)}."
            ) from None
    else:
        matrix = least_squares(pairs.probe, pairs.reference)
    left = residuals_of(matrix, pairs.probe, pairs.reference, pairs.colours)
    date = arguments.date or datetime.now(UTC).date().isoformat()
    return Correction(matrix, arguments.method, arguments.panel, date, arguments.reference, left)


def _unobjected(made: Correction, pairs: Pairs, arguments: argparse.Namespace) -> Correction:
    """Refuse what cannot be a correction, with every reason; forced, the person's own reason is stored."""
    from panelwear.colorimetry.correction_objections import objections_to, unlikely_rows

    objections = [*(f"{arguments.pairs}, {said}" for said in unlikely_rows(pairs)), *objections_to(made)]
    if not objections:
        return made
    if not (arguments.force and arguments.because.strip()):
        raise FileFault(
            (*objections, "nothing was written; if it is right nonetheless: --force --because 'the reason'")
        )
    tell([Prose("Forced against this:"), *paragraphs(*objections, indent=2), EMPTY])
    return replace(made, forced=arguments.because.strip())


def _matrix(made: Correction) -> list[Part]:
    rows = [[true_minus(f"{v:.6f}") for v in row] for row in made.matrix]
    columns = [Column(name, number=True) for name in "XYZ"]
    return [Prose("Matrix (true X, Y, Z = matrix times what the probe says):"), grid(columns, rows, 2)]


def _residuals(left: Sequence[Residual]) -> Part:
    rows = [(r.colour, true_minus(f"{r.luminance_percent:.2f}"), f"{r.duv_prime:.4f}") for r in left]
    return grid((Column("colour"), Column("luminance", "%", number=True), Column("Δu′v′", number=True)), rows, 2)


def _what_it_leaves(made: Correction, pairs: Pairs) -> list[Part]:
    said: list[Part] = [EMPTY, Prose("What it leaves:"), _residuals(made.residuals), EMPTY, *_proof(pairs)]
    if set(FOUR) <= set(pairs.colours):
        _, reference = pairs.of(*FOUR)
        ratio = float(reference[3, 1] / reference[:3, 1].sum())
        if abs(ratio - 1) > ADDITIVE_WITHIN:
            not_added = (
                f"White is {ratio:.3f} of red + green + blue by the reference instrument: this panel does not just add "
                "its channels, so the matrix is exact for none of its greys. Treat corrected colours with care."
            )
            said += [EMPTY, Prose(not_added, hang=0)]
    return said


def _proof(pairs: Pairs) -> list[Part]:
    from panelwear.colorimetry.correction_objections import left_out_in_turn

    in_turn = left_out_in_turn(pairs)
    if not in_turn:
        nothing = (
            f"This proves nothing: {len(pairs.colours)} colours are fitted as they are, mistakes too. Add cyan, "
            "magenta, yellow and two greys to the file: each is then left out in turn and predicted by the others."
        )
        return [Prose(nothing, hang=0)]
    return [
        Prose("Each colour left out in turn, predicted by a least-squares matrix of the others:"),
        _residuals(in_turn),
    ]
