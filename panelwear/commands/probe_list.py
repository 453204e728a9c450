"""List the serial ports of this machine, with what the system knows about each."""

from __future__ import annotations

import argparse


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add no options: the list is short."""
    parser.epilog = "Pseudo-terminals and network addresses (socket://HOST:PORT) are not listed, but can be used."


def run(arguments: argparse.Namespace) -> int:
    """Print one line a port, and the instrument files that come with the program."""
    from probe_io.instrument_file import find, shipped
    from probe_io.link import ports

    found = ports()
    if found:
        width = max(len(port.name) for port in found)
        for port in found:
            serial = f"  serial number {port.serial_number}" if port.serial_number else ""
            print(f"{port.name:<{width}}  {port.description}{serial}")
    else:
        print("No serial port found. Is the cable in? (A name can be given to --probe all the same.)")
    print("\nInstrument files that come with the program (--instrument):")
    for name in shipped():
        print(f"  {name:<18} {find(name).description}")
    return 0
