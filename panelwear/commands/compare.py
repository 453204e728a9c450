"""Say what changed between checkpoints, with uncertainty and a plain verdict."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from panelwear.commands.archive import add_engine
from panelwear.commands.parsing import place
from panelwear.commands.table_out import write_one_of
from panelwear.telling.out import tell
from panelwear.telling.parts import EMPTY, paragraphs
from panelwear.telling.words import ended

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from panelwear.camera.wear.findings import PhotographPair
    from panelwear.compare.comparison import Comparison
    from panelwear.compare.tables import CsvTable
    from panelwear.figures.load import Loaded
    from panelwear.folder.panel import Panel
    from panelwear.telling.parts import Part


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("directory", metavar="DIR", type=Path, help="panel folder; with --all: above panel folders")
    parser.add_argument("--from", dest="since", metavar="NAME", help="earlier checkpoint (baseline, and last time)")
    parser.add_argument("--to", dest="until", metavar="NAME", help="later checkpoint (default: the newest)")
    parser.add_argument("--level", type=float, default=0.95, metavar="P", help="level of the intervals (0.95)")
    parser.add_argument(
        "--forecast",
        type=float,
        metavar="LOSS",
        help="in %%: when a luminance loss will be reached and zones become visible, as far as that can be said",
    )
    parser.add_argument("--as-it-is", action="store_true", help="count checkpoints that were changed afterwards too")
    parser.add_argument("--json", action="store_true", help="everything as JSON")
    parser.add_argument("--csv", metavar="TABLE", help="one table as CSV, such as 'changes'; an unknown name lists all")
    parser.add_argument("--out", metavar="FILE", type=place, help="where --csv writes it, with CSVW metadata beside it")
    parser.add_argument("--all", action="store_true", help="every panel below DIR, ranked and in groups, into --out")
    add_engine(parser)


def run(arguments: argparse.Namespace) -> int:
    """Compare and print; exit code 3 when a stored file is not as it was written."""
    from panelwear.errors import UsageError

    if not 0.5 <= arguments.level <= 0.999:
        raise UsageError(f"--level {arguments.level:g}: must lie within 0.5..0.999")
    if arguments.forecast is not None and not 0 < arguments.forecast < 100:
        raise UsageError(f"--forecast {arguments.forecast:g}: a loss lies between 0 and 100 %")
    if arguments.all:
        from panelwear.commands.compare_all import run_all

        return run_all(arguments)
    if arguments.engine != "pool" or arguments.scheduler or arguments.jobs is not None:
        raise UsageError("--jobs, --engine and --scheduler say where many panels are compared; they go with --all")
    if arguments.out is not None and not arguments.csv:
        raise UsageError("--out FILE: says where --csv TABLE is written to; name the table too")
    from panelwear.compare.comparing import comparison_of
    from panelwear.figures.load import load_panel_evidence
    from panelwear.folder.panel import load_panel

    panel = load_panel(arguments.directory)
    loaded = load_panel_evidence(arguments.directory, as_it_is=arguments.as_it_is)
    _refuse_left_out(loaded, (arguments.since, arguments.until))
    if all(c.is_empty for c in loaded.checkpoints) and arguments.forecast is None:
        photographs = _photographs(panel, None, loaded, arguments)
        if photographs:
            return _photographs_alone(photographs, loaded, arguments)
    found = comparison_of(
        loaded.checkpoints,
        panel=panel.name,
        since=arguments.since,
        until=arguments.until,
        level=arguments.level,
        facts=panel.facts(),
        every_figure=arguments.json or arguments.csv == "figures",
        without_baseline=loaded.without_baseline,
    )
    found, of_usage = _by_usage(panel, found, arguments)
    if not arguments.json:
        # A table goes to a file: what heads it goes to the terminal.
        tell(_faults((*loaded.faults, *of_usage)), file=sys.stderr if arguments.csv else None)
    if arguments.forecast is not None and not (arguments.json or arguments.csv):
        tell(paragraphs(*_forecast(loaded, found, arguments.forecast / 100)))
        return _code(loaded, of_usage)
    photographs = _photographs(panel, found, loaded, arguments)
    if arguments.json:
        _say_json(loaded, found, photographs, str(arguments.directory), of_usage)
    elif arguments.csv:
        _write_table(found, photographs, arguments)
    else:
        from panelwear.camera.wear.told import photograph_parts
        from panelwear.compare.terminal_text import parts

        said = photograph_parts(photographs, arguments.level, str(arguments.directory))
        tell([*parts(found), *said], quiet=arguments.quiet)
    return _code(loaded, of_usage)


def _by_usage(panel: Panel, found: Comparison, arguments: argparse.Namespace) -> tuple[Comparison, tuple[str, ...]]:
    """Let forecasts go by what was told of usage, where forecasts are told; return what of it is faulty too."""
    if arguments.forecast is None and not arguments.json and arguments.csv != "zone-forecasts":
        return found, ()
    from panelwear.forecast.by_usage import by_usage

    return by_usage(found, panel)


def _code(loaded: Loaded, of_usage: Sequence[str]) -> int:
    from panelwear.errors import FileFault, NotAsWritten

    if loaded.faults:
        return NotAsWritten.exit_code
    return FileFault.exit_code if of_usage else 0


def _photographs(
    panel: Panel, found: Comparison | None, loaded: Loaded, arguments: argparse.Namespace
) -> Sequence[PhotographPair]:
    """Compare the photographs; what cannot be read is said."""
    from panelwear.camera.map_folder import photographs_of

    pairs, lost = photographs_of(
        panel,
        found,
        since=arguments.since,
        until=arguments.until,
        level=arguments.level,
        left_out=loaded.out,
    )
    if lost:
        tell(paragraphs(*(f"{sentence}." for sentence in lost)), file=sys.stderr)
    return pairs


def _photographs_alone(photographs: Sequence[PhotographPair], loaded: Loaded, arguments: argparse.Namespace) -> int:
    """Say what photographs show of a panel that nobody has read with a probe or looked at."""
    from panelwear.camera.wear.told import photograph_parts, photograph_tables
    from panelwear.errors import NotAsWritten

    tables = photograph_tables(photographs, arguments.level)
    if arguments.json:
        told = {"faults": [*loaded.faults], "photographs": [one.to_json() for one in tables.values()]}
        print(json.dumps(told, ensure_ascii=False, indent=1))
    elif arguments.csv:
        _write_csv(tables, arguments)
    else:
        head = [
            *(f"{sentence}." for sentence in loaded.faults),
            "Nothing was read with a probe yet; photographs alone.",
        ]
        tell([*paragraphs(*head), *photograph_parts(photographs, arguments.level, str(arguments.directory))])
    return NotAsWritten.exit_code if loaded.faults else 0


def _faults(faults: Sequence[str]) -> list[Part]:
    return [*paragraphs(*map(ended, faults)), EMPTY] if faults else []


def _forecast(loaded: Loaded, found: Comparison, target_loss: float) -> list[str]:
    from panelwear.forecast.told import sentences_of

    return [loaded.without_baseline] if loaded.without_baseline else sentences_of(found, target_loss)


def _say_json(
    loaded: Loaded,
    found: Comparison,
    photographs: Sequence[PhotographPair],
    directory: str,
    of_usage: Sequence[str],
) -> None:
    from panelwear.camera.wear.told import photograph_parts, photograph_tables
    from panelwear.compare.comparison_tables import json_of
    from panelwear.compare.terminal_text import parts
    from panelwear.figures.checkpoint import figures_of
    from panelwear.telling.record import as_data

    faults = [*loaded.faults, *of_usage]
    figures = {e.name: figures_of(e).to_json() for e in loaded.checkpoints}
    said = as_data([*_faults(faults), *parts(found), *photograph_parts(photographs, found.level, directory)])
    data = {"faults": faults, **json_of(found, figures), "said": said}
    if photographs:
        data["photographs"] = [one.to_json() for one in photograph_tables(photographs, found.level).values()]
    print(json.dumps(data, ensure_ascii=False, indent=1))


def _write_table(found: Comparison, photographs: Sequence[PhotographPair], arguments: argparse.Namespace) -> None:
    """Write one table of a comparison, those of photographs among them."""
    from panelwear.camera.wear.told import photograph_tables
    from panelwear.compare.comparison_tables import tables_of

    _write_csv(tables_of(found) | (photograph_tables(photographs, found.level) if photographs else {}), arguments)


def _write_csv(tables: Mapping[str, CsvTable], arguments: argparse.Namespace) -> None:
    write_one_of(tables, arguments.csv, arguments.out, "a comparison", quiet=arguments.quiet)


def _refuse_left_out(loaded: Loaded, names: tuple[str | None, ...]) -> None:
    """Refuse to compare checkpoints that were asked for and cannot be relied on, or where there is no other."""
    from panelwear.errors import UsageError

    for name in names:
        if name is not None and name in loaded.out:
            raise UsageError(f"{loaded.out[name]}; --as-it-is compares it nonetheless, as far as it can be read")
    loaded.refuse_all_lost()
