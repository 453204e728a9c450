"""The start screen: panels known, what is due, what to do next, and everything from there with keys or mouse."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from groundwork.clock import Clock
    from panelwear.screen.contract import Screen
    from panelwear.screen.monitors import Monitor


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("--screen", type=int, metavar="N", help="monitor, as 'panelwear screens' counts (the first)")
    parser.add_argument("--borderless", action="store_true", help="a frameless window, for stubborn window managers")
    parser.add_argument("--list", action="store_true", help="print what it offers, with the commands; open no screen")


def run(arguments: argparse.Namespace) -> int:
    """Open it, or say on the terminal what it would offer."""
    from groundwork.clock import RealClock
    from panelwear.errors import ScreenFault
    from panelwear.screen.monitors import list_monitors

    clock = RealClock()
    if arguments.list:
        return _say("What the start screen offers, by command.", clock)
    try:
        list_monitors()
    except ScreenFault as fault:
        return _say(f"No start screen: {fault}.", clock)
    from panelwear.start.loop import StartScreen

    return StartScreen(lambda: _opened(arguments, clock), clock).run()


def _opened(arguments: argparse.Namespace, clock: Clock) -> tuple[Screen, tuple[Monitor, ...]]:
    from panelwear.screen.monitors import list_monitors
    from panelwear.screen.window import open_screen

    monitors = tuple(list_monitors())  # before the screen is opened: asking starts the display anew
    # Words may be scaled; a command that shows patterns refuses that by itself.
    screen = open_screen(arguments.screen, clock=clock, allow_scaled=True, borderless=arguments.borderless)
    return screen, monitors


def _say(why: str, clock: Clock) -> int:
    from groundwork.clock import local_now
    from panelwear.start.look_up import look_up
    from panelwear.start.without_screen import parts_of
    from panelwear.telling.out import tell

    tell(parts_of(look_up((), local_now(clock).date()), why))
    return 0
