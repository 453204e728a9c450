"""Read a stable light on several evenings: the probe's day-to-day stability, measured instead of assumed.

The light is a lamp, or the panel showing one grey ('panelwear show' in another terminal), burning for half an hour
before, the probe on the same place every time. Each evening adds its readings to stability.csv of the panel folder.
From the second evening on the terms are worked out; two is little, nine is plenty.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from panelwear.errors import StorageFault, UsageError
from panelwear.telling.out import tell
from panelwear.telling.parts import Column, Prose, aside, grid, one_more, paragraphs
from panelwear.telling.words import counted, true_minus, verb

if TYPE_CHECKING:
    from panelwear.figures.evenings import Stability
    from panelwear.folder.panel import ProbeSettings
    from panelwear.readings.stability import StabilityReading
    from probe_io.reading import Probe, ProbeIdentity

LEAST_READINGS = 2
EACH = (Column("reading", number=True, at_least=7), Column("Y", "cd/m²", number=True, at_least=10), Column("flags"))
ONE_EVENING = (
    "One evening is stored in {}. Read the same light on another evening, the probe on the same place: from two "
    "evenings on the probe's day-to-day stability is worked out."
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the folder, the light, the probe's options, and whether the terms are written."""
    from panelwear.commands.probe_options import add_probe_options

    parser.add_argument("directory", metavar="DIR", type=Path, help="panel folder (panelwear new)")
    parser.add_argument("--light", metavar="WORDS", default="", help="what is read (the light of last time, else lamp)")
    parser.add_argument("--readings", metavar="N", type=int, default=20, help="how many readings (20)")
    parser.add_argument("--tell", action="store_true", help="read nothing; say what the evenings so far tell")
    parser.add_argument("--write", action="store_true", help="put the terms into probe.toml without asking")
    add_probe_options(parser, needed=False)


def run(arguments: argparse.Namespace) -> int:
    """Read this evening, work the terms out, write them where that is wanted."""
    from panelwear.folder.panel import load_panel, load_probe_settings
    from panelwear.readings.stability import read_stability

    if not LEAST_READINGS <= arguments.readings <= 1000:
        raise UsageError(f"--readings {arguments.readings}: wanted 2 to 1000; a spread needs two")
    load_panel(arguments.directory)
    settings = load_probe_settings(arguments.directory)
    before = read_stability(arguments.directory)
    light = arguments.light or (before[-1].light if before else "lamp")
    serial = before[-1].probe if before else settings.serial
    if not arguments.tell:
        serial = _read(arguments, settings, before, light)
    return _told(arguments, settings, light, serial)


def _read(
    arguments: argparse.Namespace, settings: ProbeSettings, before: Sequence[StabilityReading], light: str
) -> str:
    """Take this evening's readings; returns the serial number they are stored under."""
    from panelwear.commands.probe_options import opened
    from panelwear.folder.lock import hold
    from panelwear.probe_border import probe_words

    own = arguments.directory / settings.instrument
    named = str(own) if settings.instrument and own.is_file() else settings.instrument
    arguments.probe = arguments.probe or settings.link
    arguments.instrument = arguments.instrument or named or None
    if not arguments.probe:
        raise UsageError("no probe is named; give --instrument NAME|FILE --probe URL, or fill probe.toml in")
    with hold(arguments.directory), opened(arguments) as (probe, identity):
        tell([Prose(f"Probe: {probe_words(identity)}", aside=True)], quiet=arguments.quiet)
        serial = _serial(identity, settings)
        _evening(arguments, probe, before, (light, serial))
    return serial


def _serial(identity: ProbeIdentity, settings: ProbeSettings) -> str:
    told = identity.serial.strip()
    return told if told not in {"", "0"} else settings.serial


def _evening(
    arguments: argparse.Namespace, probe: Probe, before: Sequence[StabilityReading], named: tuple[str, str]
) -> None:
    from panelwear.commands.probe_options import take
    from panelwear.figures.evenings import PAUSE_S
    from panelwear.readings.stability import StabilityReading, stability_store

    light, serial = named
    now = datetime.now(UTC)
    another = not before or (now - _at(before[-1])).total_seconds() > PAUSE_S
    evening = (before[-1].evening if before else 0) + another if before else 1
    done = sum(row.evening == evening for row in before)
    more = f" behind {done} of before" if done else ""
    said = f"Evening {evening}, {light}: {counted(arguments.readings, 'reading')}{more}."
    tell(aside(Prose(said), grid(EACH, [])), quiet=arguments.quiet)
    with stability_store(arguments.directory) as store:
        for number in range(1, arguments.readings + 1):
            at = datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")
            one = take(probe, arguments.integration)
            light_read = (one.X_cd_m2, one.Y_cd_m2, one.Z_cd_m2)
            flags = " ".join(one.flags) or "ok"
            row = StabilityReading(
                len(before) + number, evening, at, light, serial, done + number, *light_read, one.integration_s,
                flags, one.note,
            )  # fmt: skip
            store.append(row)
            luminance = "-" if one.Y_cd_m2 is None else true_minus(f"{one.Y_cd_m2:.5g}")
            cells = (str(number), luminance, f"{flags}{one.note and f'  {one.note}'}")
            tell(aside(one_more(EACH, cells)), quiet=arguments.quiet)


def _at(row: StabilityReading) -> datetime:
    try:
        at = datetime.fromisoformat(row.time_utc)
    except ValueError:
        return datetime.fromtimestamp(0, UTC)
    return at if at.tzinfo is not None else at.replace(tzinfo=UTC)


def _told(arguments: argparse.Namespace, settings: ProbeSettings, light: str, serial: str) -> int:
    from panelwear.figures.evenings import comparable, in_words, stability_of
    from panelwear.readings.stability import FILE, read_stability

    stored = read_stability(arguments.directory)
    rows = comparable(stored, light, serial)
    found = stability_of(rows)
    if len(stored) > len(rows):
        other = len(stored) - len(rows)
        of_all = f"{other} of {counted(len(stored), 'reading')}"
        tell([Prose(f"{of_all} {verb(other, 'is')} of another light or probe, or not usable.")])
    if found is None:
        tell([Prose(ONE_EVENING.format(arguments.directory / FILE))])
        return 0
    tell(paragraphs(*in_words(found, _stated(settings))))
    if arguments.write or _wanted():
        _write(arguments.directory, found, light, settings.serial)
    return 0


def _stated(settings: ProbeSettings) -> dict[str, float]:
    terms = settings.uncertainty
    return {
        "session_scale": terms.session_scale,
        "session_xy": terms.session_xy,
        "session_filters": terms.session_filters,
    }


def _wanted() -> bool:
    if not sys.stdin.isatty():
        tell([Prose("Not written; --write puts these terms into probe.toml.")])
        return False
    try:
        answer = input("Put these terms into probe.toml? They then stand for the assumed ones. (yes/no, Return: no) ")
    except EOFError:
        answer = ""
    return answer.strip().lower() in {"y", "yes"}


def _write(directory: Path, found: Stability, light: str, serial: str) -> None:
    """Append the block and leave all else as it is; what would not read back is not written."""
    from groundwork.documents import parse_toml
    from panelwear.atomic import write_whole
    from panelwear.errors import FileFault
    from panelwear.folder.panel import parse_probe
    from panelwear.folder.stability import StabilityBlock, stability_text

    block = StabilityBlock(
        measured=found.last,
        evenings=found.evenings,
        light=light,
        serial=serial,
        session_scale=found.value("session_scale"),
        session_xy=found.value("session_xy"),
        session_filters=found.value("session_filters"),
        dof=found.dof,
    )
    path = directory / "probe.toml"
    try:
        text = path.read_text(encoding="utf-8-sig") if path.exists() else ""
    except (OSError, UnicodeDecodeError) as error:
        raise StorageFault(f"{path}: cannot be read ({error}); nothing was changed") from None
    text = f"{text.rstrip()}\n{stability_text(block)}" if text.strip() else stability_text(block).lstrip("\n")
    parse_probe(parse_toml(text, path.name, FileFault))
    write_whole(path, text.encode())
    said = f"Written to {path}; what stood there was left as it is. Checkpoints of before are judged with it too."
    tell([Prose(said)])
