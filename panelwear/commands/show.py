"""Put one pattern on the screen; arrow keys step its level, H shows the keys, Escape leaves."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from panelwear.errors import Stopped, UsageError
from panelwear.telling.out import tell
from panelwear.telling.parts import Part, Prose, aside, paragraphs
from panelwear.telling.words import counted

LARGE_PX = (7680, 4320)
"""Where no monitor can be asked, what is typed is checked against this; opening the screen then says what is wrong."""

if TYPE_CHECKING:
    from panelwear.screen.contract import Screen
    from panelwear.screen.hold import Held
    from panelwear.screen.terminal import Terminal
    from patterns.frame import Codes
    from patterns.parameters import Parameter


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("pattern", nargs="*", help="name of a pattern; none: list them")
    parser.add_argument("--code", type=float, metavar="C", help="drive level of all three channels, 0..255")
    for channel in ("red", "green", "blue"):
        parser.add_argument(f"--{channel}", type=float, metavar="C", help=f"drive level of {channel}, 0..255")
    parser.add_argument("--background", metavar="C[,C,C]", default="0", help="drive levels around the pattern (0)")
    parser.add_argument("--param", action="append", default=[], metavar="NAME=VALUE", help="a parameter of the pattern")
    parser.add_argument("--screen", type=int, metavar="N", help="monitor as 'panelwear screens' counts (the first)")
    parser.add_argument("--levels", metavar="C,C,…", help="several drive levels, one picture each (with --for-camera)")
    parser.add_argument(
        "--for-camera", action="store_true", help="title card first, then each picture alone on the screen until a key"
    )
    parser.add_argument("--panel", metavar="NAME", default="", help="name on the title card")
    parser.add_argument("--hours", metavar="H", default="", help="hours of use on the title card")
    parser.add_argument("--seconds", type=float, metavar="S", help="leave after so long (until a key)")
    parser.add_argument("--distance-mm", type=float, default=600.0, metavar="MM", help="viewing distance (600)")
    parser.add_argument("--peak", type=float, default=300.0, metavar="CD_M2", help="peak white as far as known (300)")
    parser.add_argument("--allow-scaled", action="store_true", help="go on when the desktop scales the screen")
    parser.add_argument("--borderless", action="store_true", help="a frameless window in place of full screen")
    parser.add_argument("--yes", action="store_true", help="do not wait at the caution")


def run(arguments: argparse.Namespace) -> int:
    """List the patterns, or show one."""
    from patterns import PatternError

    if not arguments.pattern:
        tell(listed(), quiet=arguments.quiet)
        return 0
    if len(arguments.pattern) > 1 and not arguments.for_camera:
        raise UsageError("one pattern at a time, please (several with --for-camera)")
    if arguments.levels and not arguments.for_camera:
        raise UsageError("--levels makes a series of photographs; it needs --for-camera")
    try:
        return _show(arguments)
    except PatternError as error:
        raise UsageError(str(error)) from error


def listed() -> list[Part]:
    """Return every pattern with its parameters."""
    import patterns

    said: list[Part] = []
    for name in patterns.names():
        entry = patterns.entry(name)
        said.append(Prose(f"{name}: {entry.summary}"))
        given = (f"--param {parameter.name}=  {in_words(parameter)}" for parameter in entry.parameters)
        said += aside(*paragraphs(*given, indent=4))
    return said


def in_words(parameter: Parameter) -> str:
    """Say what a parameter is, what it may be, how it is written and what holds without it."""
    import patterns

    value = parameter.default
    if isinstance(value, bool):
        default = "true" if value else "false"
    elif isinstance(value, patterns.Rect):
        default = f"{value.x},{value.y},{value.w},{value.h}"
    elif isinstance(value, tuple):
        default = ",".join(f"{part:g}" for part in value)
    else:
        default = f"{value:g}" if isinstance(value, float) else f"{value}"
    parts = [parameter.summary]
    if not parameter.choices or any(choice not in parameter.summary for choice in parameter.choices):
        parts.append(parameter.allowed.replace("[x, y, w, h]", "x,y,w,h").replace("(x, y)", "x,y"))
    if parameter.required:
        parts.append("has to be given")
    elif value is not None:
        parts.append(f"{default} unless given")
    return "; ".join(parts)


def _show(arguments: argparse.Namespace) -> int:
    from groundwork.clock import RealClock
    from panelwear.screen.terminal import Terminal
    from panelwear.screen.window import open_screen

    begun = _codes(arguments)
    _check_before_opening(arguments, begun)
    clock, terminal = RealClock(), Terminal()
    screen = open_screen(
        arguments.screen,
        clock=clock,
        allow_scaled=arguments.allow_scaled,
        borderless=arguments.borderless,
        distance_mm=arguments.distance_mm,
        peak_cd_m2=arguments.peak,
    )
    try:
        held = [
            _held(arguments, name, codes, screen) for name in arguments.pattern for codes in _series(arguments, begun)
        ]
        _present(screen, terminal, held, arguments)
    except Stopped:
        return 0
    finally:
        screen.close()
    return 0


def _present(screen: Screen, terminal: Terminal, held: list[Held], arguments: argparse.Namespace) -> None:
    from groundwork.clock import RealClock
    from panelwear.cautions import LIGHT
    from panelwear.screen.caution import needs_caution, say_cautions
    from panelwear.screen.evening import Evening
    from panelwear.screen.hold import hold
    from panelwear.screen.person import ScreenOperator

    if any(needs_caution(one.make(one.codes), arguments.peak) for one in held):
        if arguments.yes:
            terminal.say("\n".join(caution.text for caution in LIGHT))
        else:
            person = ScreenOperator(screen, terminal)
            say_cautions(screen, person, RealClock(), Evening.of_the_user(), all_of_them=False)
    if arguments.for_camera:
        from panelwear.screen.camera import TitleCard, for_camera

        clock = RealClock()
        title_card = TitleCard(arguments.panel, arguments.hours, clock.utc().astimezone().date().isoformat())
        names = for_camera(screen, clock, held, title_card, terminal.say)
        terminal.say(f"{counted(len(names), 'photograph')}; docs/photographs.md says how to keep them comparable")
        return
    for one in held:
        hold(screen, RealClock(), one, terminal.say)


def _check_before_opening(arguments: argparse.Namespace, begun: Codes) -> None:
    import patterns

    background = _background(arguments.background)
    given = [(name, _parameters(arguments, name)) for name in arguments.pattern]
    width, height = _size_of_screen(arguments.screen)
    for name, parameters in given:
        patterns.build(name, width, height, codes=begun, background=background, **parameters)


def _size_of_screen(number: int | None) -> tuple[int, int]:
    """Return the pixels of the monitor that is asked for, or of a very large one where that cannot be told."""
    from panelwear.errors import ScreenFault
    from panelwear.screen.monitors import list_monitors

    try:
        monitors = {monitor.number: monitor for monitor in list_monitors()}
    except ScreenFault:
        return LARGE_PX
    found = monitors.get(number or 0)
    return LARGE_PX if found is None else (found.width_px, found.height_px)


def _held(arguments: argparse.Namespace, name: str, begun: Codes, screen: Screen) -> Held:
    import patterns
    from panelwear.screen.hold import Held

    background, parameters = _background(arguments.background), _parameters(arguments, name)
    size = (screen.facts.width_px, screen.facts.height_px)
    return Held(
        name=name,
        make=lambda codes: patterns.build(name, *size, codes=codes, background=background, **parameters),
        codes=begun,
        seconds=arguments.seconds,
    )


def _codes(arguments: argparse.Namespace) -> Codes:
    import patterns

    channels = [arguments.red, arguments.green, arguments.blue]
    if all(value is None for value in (*channels, arguments.code)):
        return patterns.entry(arguments.pattern[0]).default_codes
    if arguments.code is not None and any(value is not None for value in channels):
        raise UsageError("--code drives all three channels; give it, or --red, --green and --blue")
    red, green, blue = [arguments.code] * 3 if arguments.code is not None else [value or 0.0 for value in channels]
    return (red, green, blue)


def _series(arguments: argparse.Namespace, begun: Codes) -> list[Codes]:
    """Return the codes of each picture: one, or one a level, in the hue the other options give."""
    if not arguments.levels:
        return [begun]
    try:
        levels = [float(part) for part in arguments.levels.replace(",", " ").split()]
    except ValueError:
        levels = []
    if not levels or not all(0 <= level <= 255 for level in levels):
        raise UsageError(f"--levels {arguments.levels}: give drive levels from 0 to 255, such as 20,64,128")
    channels = (arguments.red, arguments.green, arguments.blue)
    driven = [bool(value) for value in channels] if any(v is not None for v in channels) else [True] * 3
    return [(level * driven[0], level * driven[1], level * driven[2]) for level in levels]


def _background(text: str) -> Codes:
    numbers = text.replace(",", " ").split()
    try:
        values = [float(number) for number in numbers]
    except ValueError:
        values = []
    if len(values) not in {1, 3}:
        raise UsageError(f"--background {text}: give one drive level, or three as red,green,blue (0..255)")
    red, green, blue = values * 3 if len(values) == 1 else values
    return (red, green, blue)


def _parameters(arguments: argparse.Namespace, name: str) -> dict[str, Any]:
    import patterns

    entry = patterns.entry(name)
    given: dict[str, Any] = {}
    for text in arguments.param:
        key, found, value = text.partition("=")
        if not found:
            raise UsageError(f"--param {text}: write it as NAME=VALUE")
        given[key] = entry.parameter(key).from_text(value)
    return given
