"""Say what changed between checkpoints, with uncertainty and a plain verdict."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("directory", metavar="DIR", type=Path, help="panel folder (panelwear new)")
    parser.add_argument("--from", dest="since", metavar="NAME", help="earlier checkpoint (baseline, and last time)")
    parser.add_argument("--to", dest="until", metavar="NAME", help="later checkpoint (default: the newest)")
    parser.add_argument("--level", type=float, default=0.95, metavar="P", help="level of the intervals (0.95)")
    parser.add_argument(
        "--forecast",
        type=float,
        metavar="LOSS",
        help="in %%: when a luminance loss will be reached, as far as that can be said",
    )
    parser.add_argument("--json", action="store_true", help="everything as JSON")
    parser.add_argument("--csv", metavar="TABLE", help="one table as CSV, such as 'changes'")


def run(arguments: argparse.Namespace) -> int:
    """Compare and print."""
    from panelwear.errors import UsageError

    if not 0.5 <= arguments.level <= 0.999:
        raise UsageError(f"--level {arguments.level:g}: must lie within 0.5..0.999")
    if arguments.forecast is not None and not 0 < arguments.forecast < 100:
        raise UsageError(f"--forecast {arguments.forecast:g}: a loss lies between 0 and 100 %")
    from panelwear.compare.comparing import comparison_of
    from panelwear.compare.comparison_tables import json_of, tables_of
    from panelwear.compare.terminal_text import forecast_lines, lines
    from panelwear.figures.load import load_evidence
    from panelwear.folder.panel import load_panel

    panel = load_panel(arguments.directory)
    found = comparison_of(
        load_evidence(arguments.directory),
        panel=panel.name,
        since=arguments.since,
        until=arguments.until,
        level=arguments.level,
        facts=panel.facts(),
        every_figure=arguments.json or arguments.csv == "figures",
    )
    if arguments.json:
        print(json.dumps(json_of(found), ensure_ascii=False, indent=1))
    elif arguments.csv:
        tables = tables_of(found)
        if arguments.csv not in tables:
            raise UsageError(f"--csv {arguments.csv}: there is no such table; there are {', '.join(tables)}")
        sys.stdout.write(tables[arguments.csv].csv())
    elif arguments.forecast is not None:
        print("\n".join(forecast_lines(found, arguments.forecast / 100)))
    else:
        print("\n".join(lines(found)))
    return 0
