"""Keep what the panel showed between its checkpoints, and say the dose of light that follows, by zone and channel."""

from __future__ import annotations

import argparse
import json
import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from groundwork.documents import printable
from panelwear.commands.parsing import place
from panelwear.errors import FileFault, UsageError
from panelwear.telling.out import tell
from panelwear.telling.parts import Prose
from panelwear.telling.words import counted

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from panelwear.folder.panel import Panel
    from panelwear.usage.files import MapFile
    from panelwear.usage.records import Content, Stretch

PLAIN = {
    "since": "--since",
    "until": "--until",
    "hours_a_day": "--hours-a-day",
    "days_a_week": "--days-a-week",
    "white_cd_m2": "--white",
    "peak_share": "--peak-share",
    "content": "--shows",
    "note": "--note",
}
"""Keys of a stretch, with the option that tells each."""
TEXTS = tuple(key for key in PLAIN if key != "content")
"""Keys of options that are given once."""
BAD_FILE = 2


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("directory", metavar="DIR", type=Path, help="panel folder (panelwear new)")
    parser.add_argument("--since", default="", metavar="WHEN", help="a day, a checkpoint's name, or 'always'")
    parser.add_argument("--until", default="", metavar="WHEN", help="a day or a checkpoint's name (until now)")
    parser.add_argument("--hours-a-day", default="", metavar="H", help="hours of use on a day of use: 8, or 7-9")
    parser.add_argument("--days-a-week", default="", metavar="N", help="days of use in a week: 5, or 5-7 (7)")
    parser.add_argument("--white", default="", metavar="L", dest="white_cd_m2", help="white of the desktop in cd/m²")
    parser.add_argument("--peak-share", default="", metavar="S", help="the same as a share of the peak: 0.4, or 40 %%")
    parser.add_argument(
        "--shows",
        action="append",
        default=[],
        metavar="ZONE=WHAT",
        help="what a zone shows: 'white 90 %%, dark 10 %%', without ZONE= the whole panel (may be repeated)",
    )
    parser.add_argument("--note", default="", metavar="TEXT", help="kept beside it")
    parser.add_argument("--table", metavar="FILE", type=Path, help="a CSV of your own (docs/usage.md has its columns)")
    parser.add_argument("--screenshots", metavar="FOLDER", type=Path, help="pictures you collected; none is kept")
    parser.add_argument("--ask", action="store_true", help="ask for it at the terminal")
    parser.add_argument("--json", action="store_true", help="all that is kept, and the doses, as JSON")
    parser.add_argument("--csv", metavar="TABLE", help="one table as CSV: doses, hours or stretches")
    parser.add_argument("--out", metavar="FILE", type=place, help="where --csv writes it, with CSVW metadata beside it")


def run(arguments: argparse.Namespace) -> int:
    """Keep what is told; where nothing is, say what is kept."""
    from panelwear.folder.checkpoint import survey
    from panelwear.folder.lock import hold
    from panelwear.folder.panel import load_panel
    from panelwear.usage.told import begun_of, days_of

    panel = load_panel(arguments.directory)
    telling = bool(arguments.json or arguments.csv is not None)
    if arguments.json and arguments.csv is not None:
        raise UsageError("--json prints every table, --csv writes one; give one of the two")
    if arguments.out is not None and arguments.csv is None:
        raise UsageError("--out FILE: says where --csv TABLE is written to; name the table too")
    there, lost = survey(panel.directory)
    if telling and _tells_something(arguments):
        raise UsageError("--json and --csv say what is kept; they go without anything to be kept")
    kept = not telling and _tells_something(arguments)
    if kept:
        with hold(panel.directory):  # from the first question on, so that nothing typed is lost to a run
            _keep(arguments, panel, days_of(begun_of(there), lost))
    return 0 if kept and arguments.quiet else _say(arguments, panel)


def _tells_something(arguments: argparse.Namespace) -> bool:
    more = (arguments.shows, arguments.table, arguments.screenshots, arguments.ask)
    return any(more) or any(getattr(arguments, key).strip() for key in TEXTS)


def _keep(arguments: argparse.Namespace, panel: Panel, days: Mapping[str, str]) -> None:
    """Append what was told; ``days``: on which each checkpoint was begun, by its name."""
    from panelwear.usage.files import usage_file

    usage_file(panel.directory)  # before anything is asked or reduced: what cannot be kept is not worked for
    texts = {key: str(getattr(arguments, key)) for key in TEXTS if getattr(arguments, key).strip()}
    shows = list(arguments.shows)
    told = bool(shows or texts)
    if arguments.table is not None:
        _refuse_beside(told or arguments.screenshots or arguments.ask, "--table FILE tells everything itself")
        _append(arguments, panel, days, _of_table(arguments.table, panel, days))
        return
    if arguments.ask:
        _refuse_beside(told or arguments.screenshots, "--ask asks for everything")
        _append(arguments, panel, days, (_asked(panel, days),))
        return
    stretch = _stretch(texts, shows, panel, days)
    if arguments.screenshots:
        _keep_with_map(stretch, arguments, panel, days)
        return
    _refuse_nothing((stretch,))
    _append(arguments, panel, days, (stretch,))


def _refuse_nothing(stretches: Sequence[Stretch], where: str = "") -> None:
    if all(one.tells_nothing for one in stretches):
        raise UsageError(
            f"{where}nothing was told: hours a day, brightness or what is shown (--hours-a-day, --white, --shows)"
        )


def _refuse_beside(others: object, why: str) -> None:
    if others:
        raise UsageError(f"{why}; leave the other options out")


def _of_table(path: Path, panel: Panel, days: Mapping[str, str]) -> tuple[Stretch, ...]:
    from groundwork.files import content
    from panelwear.usage.table import LARGEST, read_table

    try:
        data = content(path, LARGEST)
    except OSError as error:
        raise UsageError(printable(f"--table {path}: cannot be read ({error.strerror})")) from None
    found = read_table(data, path.name, [zone.name for zone in panel.zones], days)
    _refuse_nothing(found, printable(f"{path.name}: "))
    return found


def _asked(panel: Panel, days: Mapping[str, str]) -> Stretch:
    """Ask until what was answered goes together; what was typed stays as it is to be put right."""
    from panelwear.screen.operator import Inquiry
    from panelwear.screen.person import TerminalOperator
    from panelwear.start.usage_form import TITLE, WORDS, texts_of, usage_questions
    from panelwear.usage.records import FILE

    told = (panel.directory / FILE).exists()
    questions = usage_questions([zone.name for zone in panel.zones], list(days), told=told)
    labels = {one.key: one.label for one in questions} | {"content": "What is shown"}
    operator = TerminalOperator()
    operator.tell(WORDS)
    while True:
        answers = operator.ask_all(Inquiry(questions, f"{TITLE}: {panel.name}", last="filled in"))
        try:
            stretch = _stretch(*texts_of(answers), panel, days, labels)
            _refuse_nothing((stretch,))
        except (FileFault, UsageError) as fault:
            operator.tell(str(fault))
            questions = tuple(replace(one, default=answers.get(one.key, "")) for one in questions)
        else:
            return stretch


def _stretch(
    texts: Mapping[str, str],
    shows: Sequence[str],
    panel: Panel,
    days: Mapping[str, str],
    names: Mapping[str, str] = PLAIN,
) -> Stretch:
    """Make a stretch of what was typed; ``FileFault`` with every fault, keys called by ``names``."""
    from panelwear.usage.records import ALWAYS, FILE
    from panelwear.usage.typed import since_check, stretch_of, typed, zone_content

    zones = [zone.name for zone in panel.zones]
    found = typed(texts)
    if "since" not in found.values:
        if (panel.directory / FILE).exists():
            raise UsageError(f"--since WHEN: say since when, a day or a checkpoint's name; '{ALWAYS}' lies over all")
        found.values["since"] = ALWAYS
    for key in ("since", "until"):
        found.read(key, texts.get(key, ""), lambda text, key=key: since_check(text, days, always=key == "since"))  # type: ignore[misc]
    content: list[Content] = []
    for text in shows:
        try:
            content += zone_content(text, zones)
        except ValueError as error:
            found.faults.append(("content", str(error)))
    made = stretch_of(found, tuple(content), days)
    if made is None:
        raise FileFault(tuple(printable(f"{names.get(key, key)}: {sentence}") for key, sentence in found.faults))
    return made


def _keep_with_map(stretch: Stretch, arguments: argparse.Namespace, panel: Panel, days: Mapping[str, str]) -> None:
    """Reduce the screenshots, and keep their dose map with the stretch that names it."""
    from panelwear.folder.checkpoint import survey
    from panelwear.telling.progress import bar
    from panelwear.usage.files import load_usage, map_file
    from panelwear.usage.screens import reduce_folder
    from panelwear.usage.told import known_response

    response = known_response(panel, survey(panel.directory)[0])
    with bar(quiet=arguments.quiet) as shown:
        found = reduce_folder(
            arguments.screenshots,
            (panel.width_px, panel.height_px),
            response,
            lambda done, of: shown.share(done / of, f"{done} of {counted(of, 'picture')}"),
        )
    for one in load_usage(panel.directory).stretches:
        if one.pictures_sha256 == found.sha256 and (one.since, one.until) == (stretch.since, stretch.until):
            said = f"--screenshots {arguments.screenshots}: the same pictures are kept already ({one.map})"
            raise UsageError(printable(said))
    kept = map_file(panel.directory, found.map)
    told = replace(
        stretch,
        map=kept.path.name,
        map_sha256=kept.sha256,
        pictures=found.pictures,
        pictures_sha256=found.sha256,
    )
    _append(arguments, panel, days, (told,), kept)
    other = f"; {counted(found.other_files, 'other file')} left alone" if found.other_files else ""
    said = f"{counted(found.pictures, 'picture')} reduced to {kept.path.name}{other}; the pictures are not kept and "
    tell([Prose(f"{said}not changed.", aside=True)], quiet=arguments.quiet)


def _append(
    arguments: argparse.Namespace,
    panel: Panel,
    days: Mapping[str, str],
    stretches: Sequence[Stretch],
    dose_map: MapFile | None = None,
) -> None:
    from panelwear.usage.files import append_stretches
    from panelwear.usage.records import Usage
    from panelwear.usage.told import refuse_misfits

    refuse_misfits(Usage(tuple(stretches)), panel, days)
    path = append_stretches(panel.directory, stretches, dose_map)
    said = f"{path.name}: {counted(len(stretches), 'stretch', 'stretches')} added; what stood there was left as it is."
    tell([Prose(said, aside=True)], quiet=arguments.quiet)


def _say(arguments: argparse.Namespace, panel: Panel) -> int:
    from panelwear.commands.usage_told import json_of, parts_of, tables_of
    from panelwear.usage.told import usage_told

    found = usage_told(panel)
    if arguments.json:
        print(json.dumps(json_of(panel.name, found), ensure_ascii=False, indent=1))
    elif arguments.csv is not None:
        from panelwear.commands.table_out import write_one_of

        if found.faults:
            tell([Prose(f"{one}.") for one in found.faults], file=sys.stderr)
        write_one_of(tables_of(found), arguments.csv, arguments.out, "what is kept of usage", quiet=arguments.quiet)
    else:
        tell(parts_of(panel.name, found), quiet=arguments.quiet)
    return BAD_FILE if found.faults else 0
