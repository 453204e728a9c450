"""Make the pictures of README.md: ``python docs/make_readme_pictures.py [REHEARSAL]``.

All come from the program itself and, where they hold numbers, from one rehearsal of seed 1, so no two of them say
different things of the same panel. They are twice as large as they are shown. Needs ``chromium`` for the report.
"""

from __future__ import annotations

import os
import pty
import struct
import subprocess
import sys
import tempfile
from contextlib import suppress
from fcntl import ioctl
from pathlib import Path
from termios import TIOCSWINSZ

from make_report_pictures import first_screen
from matplotlib import get_data_path
from picturing import PRINTED_CODE, Put, at_the_target, brightened, pixels_of
from PIL import Image, ImageDraw, ImageFont
from rich.color import blend_rgb
from rich.console import Console
from rich.segment import Segment
from rich.style import Style
from rich.terminal_theme import MONOKAI
from rich.text import Text

from panelwear.byeye.walk_cards import Menu
from panelwear.readings.marks import KINDS
from panelwear.screen.contract import Screen
from patterns import build

DOCS = Path(__file__).resolve().parent
FOLDER = DOCS / "pictures" / "readme"
TWICE = 2
"""So many pixels a pixel of the README, where three small pictures stand side by side."""
SCREEN = (400 * TWICE, 225 * TWICE)
REPORT = (1100, 860)
"""Width and height of the report's first screen in CSS pixels."""
COLUMNS, ROWS = 80, 26
"""Of the terminal."""
TYPE_PX = 15 * TWICE
MOST_BRIGHTENED = 3.0
MOST_BYTES = 200_000
COLOURS = (256, 192, 128, 96, 64, 48, 32)
GREY, SEEN = 40.0, 37.0
"""Drive levels of the field that is marked and of the mark, wider apart than wear, so that print shows it."""


def rehearsed(folder: Path) -> Path:
    """Return the panel folder of the rehearsal, made where it is not there yet."""
    if not (folder / "harbour-desk").exists():
        run("rehearse", "--out", folder)
    return folder / "harbour-desk"


def run(*words: str | Path) -> None:
    """Run one command of the program."""
    subprocess.run([sys.executable, "-m", "panelwear", *map(str, words)], check=True)


def report_picture(panel: Path) -> Image.Image:
    """Shoot the first screen of the report, as a browser shows it."""
    with tempfile.TemporaryDirectory() as place:
        page, shot = Path(place) / "report.html", Path(place) / "report.png"
        run("report", panel, "--out", page)
        with Image.open(first_screen(page, shot, REPORT)) as taken:
            return taken.copy()


def said_on_a_terminal(*words: str | Path) -> str:
    """Run a command on a terminal of 80 columns and return what it wrote, colours and all."""
    controller, terminal = pty.openpty()
    ioctl(terminal, TIOCSWINSZ, struct.pack("HHHH", ROWS, COLUMNS, 0, 0))
    command = [sys.executable, "-m", "panelwear", *map(str, words)]
    told = {**os.environ, "TERM": "xterm-256color", "COLUMNS": str(COLUMNS)}
    child = subprocess.Popen(command, stdin=terminal, stdout=terminal, stderr=terminal, env=told)
    os.close(terminal)
    found = b""
    with suppress(OSError):  # Linux says so where the other end is closed
        while piece := os.read(controller, 65_536):
            found += piece
    os.close(controller)
    child.wait()
    return found.decode("utf-8").replace("\r\n", "\n")


def terminal_picture(typed: str, said: str) -> Image.Image:
    """Draw a terminal's first rows, in the typeface that matplotlib brings (DejaVu Sans Mono)."""
    faces = Path(get_data_path()) / "fonts" / "ttf"
    plain, bold = (ImageFont.truetype(faces / f"DejaVuSansMono{kind}.ttf", TYPE_PX) for kind in ("", "-Bold"))
    wide, high = round(plain.getlength("0" * 100) / 100), round(TYPE_PX * 1.35)
    margin = TYPE_PX
    console = Console(width=COLUMNS, force_terminal=True, color_system="truecolor", legacy_windows=False)
    shown = Text(f"$ {typed}\n") + Text.from_ansi(said)
    lines = console.render_lines(shown, console.options.update(width=COLUMNS), pad=False)[:ROWS]
    image = Image.new("RGB", (COLUMNS * wide + 2 * margin, len(lines) * high + 2 * margin), colour(None, ground=True))
    draw = ImageDraw.Draw(image)
    for row, line in enumerate(lines):
        at = 0
        for text, style, _ in Segment.filter_control(line):
            face = bold if style and style.bold else plain
            for number, letter in enumerate(text):
                draw.text((margin + (at + number) * wide, margin + row * high), letter, colour(style), font=face)
            at += len(text)
    return image


def colour(style: Style | None, *, ground: bool = False) -> tuple[int, int, int]:
    """Return the colour of letters in a style, or of the terminal's ground."""
    black, ink = MONOKAI.background_color, MONOKAI.foreground_color
    if ground:
        return tuple(black)
    told = style.color.get_truecolor(MONOKAI) if style and style.color else ink
    return tuple(blend_rgb(told, black, 0.45) if style and style.dim else told)


target = at_the_target(SCREEN, (0.16, 0.74), 60.0)
"""As it stands in the dark."""


def mark(screen: Screen) -> None:
    """Put up a mark on a grey field of the by-eye walk, while it is asked what it is."""
    w, h = SCREEN
    box = (round(w * 0.72), round(h * 0.12), round(w * 0.2), round(h * 0.16))
    screen.show(build("zone", w, h, codes=(SEEN,) * 3, background=(GREY,) * 3, rect=box))
    screen.card(Menu("What is it?", KINDS).card("bottom-left"), (box,))


def screen_picture(put: Put) -> Image.Image:
    """Put something on the real screen and return it bright enough for print."""
    pixels = pixels_of(put, SCREEN)
    return Image.fromarray(brightened(pixels, min(MOST_BRIGHTENED, PRINTED_CODE / max(1, int(pixels.max())))))


def store(name: str, image: Image.Image, folder: Path = FOLDER) -> None:
    """Store a picture with as many colours as fit into ``MOST_BYTES``."""
    path = folder / f"{name}.png"
    for colours in COLOURS:
        image.quantize(colours, dither=Image.Dither.NONE).save(path, optimize=True)
        if path.stat().st_size < MOST_BYTES:
            return
    sys.exit(f"{path.name}: {path.stat().st_size} bytes with {COLOURS[-1]} colours")


def main(rehearsal: Path) -> None:
    """Make all four, and two of the rehearsal's own for docs/simulation.md."""
    panel = rehearsed(rehearsal)
    FOLDER.mkdir(parents=True, exist_ok=True)
    store("report", report_picture(panel))
    store("compare", terminal_picture("panelwear compare harbour-desk", said_on_a_terminal("compare", panel)))
    store("target", screen_picture(target))
    store("mark", screen_picture(mark))
    for made, name in (("ageing-map", "ageing"), ("white-against-hours", "white-against-hours")):
        store(name, Image.open(panel.parent / "pictures" / f"{made}.png").convert("RGB"), FOLDER.parent)


if __name__ == "__main__":
    main(Path(sys.argv[1] if len(sys.argv) > 1 else "rehearsal"))
