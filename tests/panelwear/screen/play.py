"""Shows patterns on the display it is started on, one a line of JSON on standard input: what the screen tests run.

``{"pattern": "window", "parameters": {...}, "codes": [..], "background": [..]}`` shows one, ``{"card": {...}}`` lays
a card over it, ``{"outlines": [[x, y, w, h]]}`` draws marks, ``{"visible": true}`` asks whether it can be seen.
Ends with the program's exit code and its sentence, as ``panelwear`` does.
"""

# ruff: noqa: T201 - it speaks on standard output
from __future__ import annotations

import json
import sys
from typing import Any

import patterns
from groundwork.clock import RealClock
from panelwear.errors import PanelwearError
from panelwear.screen.contract import Card
from panelwear.screen.terminal import Terminal
from panelwear.screen.window import PygameScreen, open_screen
from patterns.frame import Frame

CLOCK = RealClock()


def build(order: dict[str, Any], width: int, height: int) -> Frame:
    given = {
        key: tuple(value) if isinstance(value, list) else value for key, value in order.get("parameters", {}).items()
    }
    if "rect" in given:
        given["rect"] = patterns.Rect(*given["rect"])
    codes = tuple(order["codes"]) if "codes" in order else None
    background = tuple(order.get("background", (0, 0, 0)))
    return patterns.build(order["pattern"], width, height, codes=codes, background=background, **given)


def follow(screen: PygameScreen, order: dict[str, Any]) -> None:
    if "pattern" in order:
        print("GOT", flush=True)
        frame = build(order, screen.facts.width_px, screen.facts.height_px)
        shown = screen.show(frame, order.get("fade_s"))
        print(f"DIGEST {shown.frame_sha256}", flush=True)
    elif "card" in order:
        card = order["card"]
        screen.card(None if card is None else Card(**{**card, "lines": tuple(card["lines"])}))
        print("CARD", flush=True)
    elif "outlines" in order:
        screen.outlines([tuple(box) for box in order["outlines"]])
        print("OUTLINES", flush=True)
    elif "visible" in order:
        print(f"VISIBLE {screen.visible}", flush=True)


def main(number: int, borderless: bool) -> int:
    try:
        screen = open_screen(number, clock=CLOCK, borderless=borderless)
    except PanelwearError as error:
        print(error, file=sys.stderr)
        return error.exit_code
    print(f"OPEN {json.dumps([screen.facts.width_px, screen.facts.height_px, screen.facts.name])}", flush=True)
    terminal = Terminal()
    try:
        while not terminal.ended:
            for event in screen.poll():
                print(f"EVENT {event.kind} {event.key or event.text} {event.x},{event.y}", flush=True)
            line = terminal.poll()
            if line:
                follow(screen, json.loads(line))
            CLOCK.sleep(0.01)
    except PanelwearError as error:
        print(error, file=sys.stderr)
        return error.exit_code
    finally:
        screen.close()
    return 0


if __name__ == "__main__":
    raise SystemExit(main(int(sys.argv[1]), "borderless" in sys.argv[2:]))
