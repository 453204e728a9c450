"""List the monitors, or prove with --prove N that every pixel arrives unchanged at the display server."""

from __future__ import annotations

import argparse
from contextlib import suppress
from typing import TYPE_CHECKING

from panelwear.errors import ScreenFault, Stopped
from panelwear.telling.out import tell
from panelwear.telling.parts import Column, Part, Prose, grid, paragraphs

if TYPE_CHECKING:
    from groundwork.clock import Clock
    from panelwear.screen.monitors import Monitor
    from panelwear.screen.person import ScreenOperator
    from panelwear.screen.prove import Comparison
    from panelwear.screen.window import PygameScreen


ON_THE_CHECK_PAGE = (
    "On the check page the fine patches must look even, without beats, and from a step back as bright as the flat "
    "field round them; every box of both rows must be told from its ground. Return or Escape leaves."
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("--prove", type=int, metavar="N", help="show the geometry frame on screen N and compare")
    parser.add_argument("--borderless", action="store_true", help="a frameless window in place of full screen")
    parser.add_argument("--allow-scaled", action="store_true", help="look at a scaled screen too (it will differ)")
    parser.add_argument("--yes", action="store_true", help="do not wait for anyone: caution and check page pass by")


def run(arguments: argparse.Namespace) -> int:
    """List or prove."""
    from panelwear.screen.monitors import list_monitors

    monitors = list_monitors()
    if arguments.prove is None:
        tell([table(monitors)])
        return 0
    return _prove(arguments, monitors)


def table(monitors: list[Monitor]) -> Part:
    """Lay the monitors out as a table."""
    rows = []
    for monitor in monitors:
        position = "not known" if monitor.position_px is None else "{}, {}".format(*monitor.position_px)
        rows.append(
            (
                str(monitor.number),
                monitor.name or "not told by the system",
                f"{monitor.width_px} x {monitor.height_px}",
                position,
                "scaled by the desktop" if monitor.scaled else "",
            )
        )
    columns = (
        Column("number", number=True), Column("name"), Column("pixels", breaks=False),
        Column("position", "px", breaks=False), Column(),
    )  # fmt: skip
    return grid(columns, rows)


def _prove(arguments: argparse.Namespace, monitors: list[Monitor]) -> int:
    from groundwork.clock import RealClock
    from panelwear.screen.person import ScreenOperator
    from panelwear.screen.prove import UNSEEN, check_page
    from panelwear.screen.window import open_screen

    clock = RealClock()
    screen = open_screen(
        arguments.prove, clock=clock, borderless=arguments.borderless, allow_scaled=arguments.allow_scaled
    )
    try:
        person = ScreenOperator(screen)
        _caution(screen, person, clock, wait=not arguments.yes)
        result = _compare(screen, monitors[arguments.prove], clock)
        person.tell(f"screen {arguments.prove}: {result.sentence()}")
        unseen = paragraphs(*(f"- {line}" for line in UNSEEN), indent=2)
        tell([Prose("What no program can see; look for it yourself:"), *unseen])
        screen.show(check_page(screen.facts.width_px, screen.facts.height_px))
        tell([Prose(ON_THE_CHECK_PAGE)])
        if not arguments.yes:
            _look(screen, clock)
    except Stopped:
        return 1
    finally:
        screen.close()
    if not result.exact:
        raise ScreenFault(f"screen {arguments.prove} is not exact: {result.sentence()}")
    return 0


def _caution(screen: PygameScreen, person: ScreenOperator, clock: Clock, *, wait: bool) -> None:
    from panelwear.cautions import LIGHT

    if wait:
        from panelwear.screen.caution import say_cautions
        from panelwear.screen.evening import Evening

        say_cautions(screen, person, clock, Evening.of_the_user(), all_of_them=False)
    else:
        tell(paragraphs(*(caution.text for caution in LIGHT)))


def _compare(screen: PygameScreen, monitor: Monitor, clock: Clock) -> Comparison:
    from panelwear.screen.grab import grab
    from panelwear.screen.prove import compare
    from panelwear.screen.waiting import moments
    from patterns import build, raster

    frame = build("geometry", screen.facts.width_px, screen.facts.height_px)
    screen.show(frame)
    for _ in moments(screen, clock, clock.monotonic_s() + 0.2):
        pass  # a compositor may bring the frame on late
    if monitor.position_px is None:
        raise ScreenFault("the position of the screen on the desktop is not known here, so it cannot be compared")
    box = (*monitor.position_px, frame.width, frame.height)
    found = grab(box, wayland=screen.facts.driver == "wayland")
    return compare(raster(frame), found)


def _look(screen: PygameScreen, clock: Clock) -> None:
    """Leave the check page up until a hand; Escape ends it as well, and what was compared is still to be said."""
    from panelwear.screen.waiting import goes_on, moments

    with suppress(Stopped):
        for events in moments(screen, clock):
            if any(goes_on(event) for event in events):
                return
