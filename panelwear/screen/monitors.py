"""Which monitors there are: number, name where it can be known, pixels and position."""

from __future__ import annotations

import re
import shutil
import subprocess
from dataclasses import dataclass

_OUTPUT = re.compile(r"^(\S+) connected (primary )?(\d+)x(\d+)\+(\d+)\+(\d+)( \w+)?")
_MODE = re.compile(r"^\s+(\d+)x(\d+)\S*\s.*\*")


@dataclass(frozen=True, slots=True)
class Monitor:
    """One monitor, numbered as ``--screen`` counts."""

    number: int
    width_px: int
    height_px: int
    name: str = ""
    """Name of the output; empty when the system does not tell."""
    position_px: tuple[int, int] | None = None
    scaled: bool = False
    """True when the desktop, not the panel, decides what a pixel is."""


@dataclass(frozen=True, slots=True)
class Output:
    """One output as the X server describes it."""

    name: str
    primary: bool
    width_px: int
    height_px: int
    position_px: tuple[int, int]
    mode_px: tuple[int, int] | None
    """Pixels of the mode the output runs in; differs from the size when the server scales."""

    @property
    def scaled(self) -> bool:
        """Whether the server resamples (a quarter turn is no scaling)."""
        size = (self.width_px, self.height_px)
        return self.mode_px is not None and self.mode_px not in {size, size[::-1]}


def read_outputs(text: str) -> list[Output]:
    """Read the X server's list of outputs (``xrandr --current``), the primary one first."""
    outputs: list[Output] = []
    for line in text.splitlines():
        if match := _OUTPUT.match(line):
            name, primary, *numbers = match.groups()[:6]
            w, h, x, y = map(int, numbers)
            outputs.append(Output(name, bool(primary), w, h, (x, y), None))
        elif (mode := _MODE.match(line)) and outputs and outputs[-1].mode_px is None:
            last = outputs[-1]
            outputs[-1] = Output(
                last.name, last.primary, last.width_px, last.height_px, last.position_px, (int(mode[1]), int(mode[2]))
            )
    return sorted(outputs, key=lambda output: not output.primary)


def x_outputs() -> list[Output]:
    """Ask the X server for its outputs; empty when there is no way to."""
    tool = shutil.which("xrandr")
    if tool is None:
        return []
    try:
        done = subprocess.run([tool, "--current"], capture_output=True, text=True, timeout=5, check=False)
    except (OSError, subprocess.TimeoutExpired):
        return []
    return read_outputs(done.stdout) if done.returncode == 0 else []


def number_monitors(sizes: list[tuple[int, int]], outputs: list[Output], scaled: list[bool]) -> list[Monitor]:
    """Put the drawing library's monitors and the X server's outputs together.

    Both list the primary one first and keep the server's order; where the sizes disagree no name is given.
    """
    fits = len(outputs) == len(sizes) and all(
        (o.width_px, o.height_px) == size for o, size in zip(outputs, sizes, strict=True)
    )
    monitors = []
    for number, (size, zoomed) in enumerate(zip(sizes, scaled, strict=True)):
        output = outputs[number] if fits else None
        monitors.append(
            Monitor(
                number,
                *size,
                name=output.name if output else "",
                position_px=output.position_px if output else ((0, 0) if len(sizes) == 1 else None),
                scaled=zoomed or (output is not None and output.scaled),
            )
        )
    return monitors


def list_monitors() -> list[Monitor]:
    """List the monitors of the display in use.

    Raises:
        ScreenFault: there is no display.
    """
    from panelwear.screen import driver

    pygame = driver.load(off_screen=False)
    return monitors_of(pygame)


def monitors_of(pygame: object) -> list[Monitor]:
    """List the monitors with the drawing library started already."""
    from panelwear.screen import driver

    display = pygame.display  # type: ignore[attr-defined]
    found = [driver.native_size(pygame, number) for number in range(len(display.get_desktop_sizes()))]
    outputs = x_outputs() if display.get_driver() == "x11" else []
    return number_monitors([size for size, _ in found], outputs, [zoomed for _, zoomed in found])
