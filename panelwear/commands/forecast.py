"""Say when wear will matter, for this panel's use and for another's."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from panelwear.commands.parsing import place
from panelwear.commands.table_out import write_table
from panelwear.telling.out import tell
from panelwear.telling.parts import EMPTY, paragraphs
from panelwear.telling.words import ended

if TYPE_CHECKING:
    from collections.abc import Sequence

    from panelwear.forecast.answers import Foretold
    from panelwear.telling.parts import Part


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("directory", metavar="DIR", type=Path, help="panel folder")
    parser.add_argument(
        "--until",
        dest="targets",
        action="append",
        default=[],
        metavar="WHAT",
        help="'peak 90 %%', 'blue 80 %%', 'white shift 0.004', 'ZONE contrast 3 %%', 'ZONE visible'; may be repeated",
    )
    parser.add_argument(
        "--use",
        dest="uses",
        action="append",
        default=[],
        metavar="HOW",
        help="another's use: '8h x 5d/week', '4h/day', '24/7', 'half my hours', 'half my brightness'; may be repeated",
    )
    parser.add_argument(
        "--probe-drift",
        type=float,
        default=0.0,
        metavar="P",
        help="in %%: what the probe may have drifted by since the baseline (standard uncertainty)",
    )
    parser.add_argument("--as-it-is", action="store_true", help="count checkpoints that were changed afterwards too")
    parser.add_argument("--json", action="store_true", help="everything as JSON")
    parser.add_argument("--csv", action="store_true", help="the table of targets and uses as CSV")
    parser.add_argument("--out", metavar="FILE", type=place, help="where --csv writes it, with CSVW metadata beside it")


def run(arguments: argparse.Namespace) -> int:
    """Answer; exit code 3 when a stored file is not as it was written, 2 when what was told of usage has faults."""
    from panelwear.compare.comparing import comparison_of
    from panelwear.errors import FileFault, NotAsWritten, UsageError
    from panelwear.figures.load import load_panel_evidence
    from panelwear.folder.panel import load_panel
    from panelwear.forecast.answers import foretold
    from panelwear.forecast.by_usage import by_usage
    from panelwear.forecast.targets import target_of
    from panelwear.forecast.told import table_of
    from panelwear.forecast.uses import use_of

    if not 0 <= arguments.probe_drift <= 20:
        raise UsageError(f"--probe-drift {arguments.probe_drift:g}: a drift lies between 0 and 20 %")
    if arguments.out is not None and not arguments.csv:
        raise UsageError("--out FILE: says where --csv writes the table; add --csv")
    panel = load_panel(arguments.directory)
    zones = [zone.name for zone in panel.zones]
    targets = [target_of(said, zones) for said in arguments.targets]
    uses = [use_of(said) for said in arguments.uses]
    loaded = load_panel_evidence(arguments.directory, as_it_is=arguments.as_it_is)
    loaded.refuse_all_lost()
    if loaded.without_baseline:
        raise NotAsWritten((*loaded.faults, loaded.without_baseline))
    found = comparison_of(loaded.checkpoints, panel=panel.name, facts=panel.facts())
    found, of_usage = by_usage(found, panel)
    faults = (*loaded.faults, *of_usage)
    answered = foretold(found, targets, uses, arguments.probe_drift / 100)
    if arguments.csv:
        tell(_faults(faults), file=sys.stderr)
        write_table(table_of(answered), arguments.out, "a forecast", quiet=arguments.quiet)
    elif arguments.json:
        _say_json(faults, answered)
    else:
        tell(_said(faults, answered), quiet=arguments.quiet)
    if loaded.faults:
        return NotAsWritten.exit_code
    return FileFault.exit_code if of_usage else 0


def _faults(faults: Sequence[str]) -> list[Part]:
    return [*paragraphs(*map(ended, faults)), EMPTY] if faults else []


def _said(faults: Sequence[str], answered: Foretold) -> list[Part]:
    from panelwear.forecast.told import parts_of

    nothing = "Nothing was read at two checkpoints, so there is nothing to forecast from."
    return [*_faults(faults), *(parts_of(answered) if answered.answers else paragraphs(nothing))]


def _say_json(faults: Sequence[str], answered: Foretold) -> None:
    from panelwear.compare.tables import plain
    from panelwear.forecast.told import table_of
    from panelwear.telling.record import as_data

    data = {
        "faults": [*faults],
        "panel": answered.panel,
        "now_h": answered.now_h,
        "now_low_h": answered.now_between_h[0],
        "now_high_h": answered.now_between_h[1],
        "own_h_a_day": plain(answered.own_h_a_day),
        "own_low_h_a_day": plain(answered.own_between_h_a_day[0]),
        "own_high_h_a_day": plain(answered.own_between_h_a_day[1]),
        "tables": [table_of(answered).to_json()],
        "said": as_data(_said(faults, answered)),
    }
    print(json.dumps(data, ensure_ascii=False, indent=1))
