"""List the serial ports of this machine, with what the system knows about each."""

from __future__ import annotations

import argparse


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add no options: the list is short."""
    parser.epilog = "Pseudo-terminals and network addresses (socket://HOST:PORT) are not listed, but can be used."


def run(arguments: argparse.Namespace) -> int:
    """Print one row a port, and the instrument files that come with the program."""
    from panelwear.telling.out import tell
    from panelwear.telling.parts import EMPTY, Part, Prose, aside, grid
    from probe_io.instrument_file import find, shipped
    from probe_io.link import ports

    found = [(port.name, port.description, port.serial_number) for port in ports()]
    said: list[Part] = [grid(("port", "what the system says of it", "serial number"), found)]
    if not found:
        said = [Prose("No serial port found. Is the cable in? (A name can be given to --probe all the same.)")]
    files = grid(("", ""), [(name, find(name).description) for name in shipped()], 2)
    said += aside(EMPTY, Prose("Instrument files that come with the program (--instrument):"), files)
    tell(said, quiet=arguments.quiet)
    return 0
