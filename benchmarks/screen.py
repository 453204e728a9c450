"""How long a pattern takes to come on, beside blit + flip of a ready picture, at 3840 x 2160.

Usage: ``xvfb-run`` is not needed: ``python benchmarks/screen.py`` starts its own X server (Xvfb) when there is one,
or takes the display it is started on with ``--here``. Wanted: a field at most 1 x, any pattern at most 5 x,
a fade frame at most 2 x. The digest is worked out after the frame is on, while the panel settles; its time stands in
a column of its own.
"""

from __future__ import annotations

import argparse
import os
import statistics
import subprocess
import time
from collections.abc import Callable, Iterator

import numpy as np

import patterns
from panelwear.screen import driver
from panelwear.screen.bands import MANY_FILLS
from panelwear.screen.fade import AlphaFade, CellFade, Fading, cells
from panelwear.screen.governor import Viewing, the_governor
from panelwear.screen.light import Codes8
from panelwear.screen.paint import Digests, paint


def median_ms(work: Callable[[], object], repeats: int) -> float:
    times = []
    for _ in range(repeats):
        begun = time.perf_counter()
        work()
        times.append((time.perf_counter() - begun) * 1000)
    return statistics.median(times)


def build(name: str, width: int, height: int, codes: tuple[float, float, float] | None = None) -> patterns.Frame:
    rect = patterns.Rect(width // 7, height // 5, width // 3, height // 3)
    sample: dict[str, object] = {"rect": rect, "text": "harbour-desk", "integer": 5, "number": 0.4, "flag": True}
    required = [p for p in patterns.entry(name).parameters if p.required]
    given = {p.name: p.choices[0] if p.kind == "choice" else sample[p.kind] for p in required}
    if name == "title-card":
        given["panel"] = "harbour-desk"
    return patterns.build(name, width, height, codes=codes, **given)  # type: ignore[arg-type]


def measure(width: int, height: int, repeats: int) -> None:
    pygame = driver.load(off_screen=False)
    surface = pygame.display.set_mode((width, height), pygame.FULLSCREEN, display=0)
    governor = the_governor(Viewing(width, height))
    ready = surface.copy()
    ready.fill((90, 90, 90))

    def reference() -> None:
        surface.blit(ready, (0, 0))
        pygame.display.flip()

    reference()
    base = median_ms(reference, repeats)
    print(f"{width} x {height}, driver {pygame.display.get_driver()}, {repeats} repeats, median")
    print(f"{'what':<28}{'build':>8}{'show':>8}{'both ms':>9}{'x ready':>9}{'digest ms':>11}")
    print(f"{'blit + flip of a ready one':<28}{'':>8}{base:>8.1f}{base:>9.1f}{1.0:>9.2f}")

    def sampled(frame: patterns.Frame) -> Codes8:
        if frame.pixels is not None or len(frame.fills) <= MANY_FILLS:
            return governor.codes_of(frame)
        drawn = surface.copy()
        paint(drawn, frame)
        points = governor.points
        return (
            np.asarray(drawn.get_view("2"))[points.x, points.y]
            .astype(np.uint32)
            .view(np.uint8)
            .reshape(-1, 4)[:, 2::-1]
        )

    def row(label: str, make: Callable[[], patterns.Frame]) -> None:
        frame = make()

        def show() -> None:
            governor.permit(sampled(frame), time.monotonic())
            paint(surface, frame)
            pygame.display.flip()

        took = median_ms(show, repeats)
        built = median_ms(make, 3)
        digest = median_ms(lambda: Digests().of(frame), 3)
        both = built + took
        print(f"{label:<28}{built:>8.1f}{took:>8.1f}{both:>9.1f}{both / base:>9.2f}{digest:>11.1f}")

    for name in patterns.names():
        row(name, lambda name=name: build(name, width, height))  # type: ignore[misc]
    row("field, spatial mix", lambda: build("field", width, height, (128.4, 128.4, 128.4)))
    target = ready.copy()
    target.fill((200, 30, 90))
    black, window = build("field", width, height, (0.0, 0.0, 0.0)), build("window", width, height)
    fades: tuple[tuple[str, Fading], ...] = (
        ("a fade frame, field", CellFade(surface, cells(black, build("field", width, height)) or [])),
        ("a fade frame, window", CellFade(surface, cells(black, window) or [])),
        ("a fade frame, any picture", AlphaFade(surface, target)),
    )
    for label, fade in fades:
        shares = iter([(n + 1) / (repeats + 2) for n in range(repeats)])

        def step(fade: Fading = fade, shares: Iterator[float] = shares) -> None:
            fade.to(next(shares))
            pygame.display.flip()

        took = median_ms(step, repeats)
        print(f"{label:<28}{'':>8}{took:>8.1f}{took:>9.1f}{took / base:>9.2f}")
    pygame.display.quit()


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--size", default="3840x2160")
    parser.add_argument("--repeats", type=int, default=15)
    parser.add_argument("--here", action="store_true", help="use the display there is, not an own Xvfb")
    arguments = parser.parse_args()
    width, height = map(int, arguments.size.split("x"))
    if arguments.here:
        measure(width, height, arguments.repeats)
        return
    command = ["Xvfb", "-displayfd", "1", "-screen", "0", f"{width}x{height}x24", "-nolisten", "tcp"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL) as server:
        if server.stdout is None:
            raise SystemExit("Xvfb did not start")
        os.environ["DISPLAY"] = f":{server.stdout.readline().decode().strip()}"
        os.environ.pop("WAYLAND_DISPLAY", None)
        os.environ.pop("SDL_VIDEODRIVER", None)
        try:
            measure(width, height, arguments.repeats)
        finally:
            server.terminate()


if __name__ == "__main__":
    main()
