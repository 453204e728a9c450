"""Open the screen, or say in one sentence why it cannot be exact."""

from __future__ import annotations

import os
from typing import Any

from groundwork.clock import Clock
from panelwear.errors import ScreenFault
from panelwear.screen import driver
from panelwear.screen.contract import ScreenFacts
from panelwear.screen.governor import Viewing, the_governor
from panelwear.screen.keyboard import focus_kept
from panelwear.screen.letters import forget_fonts
from panelwear.screen.monitors import Monitor, monitors_of
from panelwear.screen.surface import PygameScreen
from panelwear.screen.watch import Watch, watch_of

__all__ = ["ASSUMED_AREA_MM", "PygameScreen", "open_screen"]

ASSUMED_AREA_MM = (598.0, 336.0)
"""A 27-inch panel of 16:9, where nothing is known."""
SETTLE_S = 0.3
"""How long a window manager may need until size and position are final."""
OFF_SCREEN_SETTLE_S = 0.0


def open_screen(
    number: int | None = None,
    *,
    clock: Clock,
    allow_scaled: bool = False,
    borderless: bool = False,
    off_screen: tuple[int, int] | None = None,
    distance_mm: float = 600.0,
    active_area_mm: tuple[float, float] = ASSUMED_AREA_MM,
    peak_cd_m2: float = 300.0,
) -> PygameScreen:
    """Open the screen full screen on a monitor, at that monitor's own pixels.

    Args:
        number: Monitor as ``panelwear screens`` counts; ``None``: the first.
        clock: Real for anything a person can see.
        allow_scaled: Go on when the pixels are not the panel's own; ``facts.scaled`` says so then.
        borderless: A frameless window in place of full screen, for window managers that fight it.
        off_screen: Pixels of a surface that nobody sees (rehearsal).
        distance_mm: Viewing distance, for the flash governor, which judges from 300 mm where that is nearer.
        active_area_mm: The panel's lit area as stated; where the monitor itself tells of a larger one, flashes are
            judged by that.
        peak_cd_m2: Peak white as far as known, for cards and the governor.

    Raises:
        ScreenFault: no display, no such monitor, not exact, or a fast clock with a visible screen.
    """
    if off_screen is None and clock.fast:
        raise ScreenFault("a fast clock and a visible screen cannot be combined: the pictures would flash")
    pygame = driver.load(off_screen=off_screen is not None)
    forget_fonts()
    notes: list[str] = []
    if off_screen is not None:
        monitor = Monitor(0, *off_screen, name="off-screen", position_px=(0, 0))
    else:
        monitor = _choose(pygame, number or 0)
        _refuse_inexact(pygame, monitor, allow_scaled, notes)
    give_back = focus_kept(pygame.display.get_driver())
    surface = _set_mode(pygame, monitor, borderless=borderless, off_screen=off_screen is not None)
    size = (monitor.width_px, monitor.height_px)
    _let_settle(pygame, clock, SETTLE_S if off_screen is None else OFF_SCREEN_SETTLE_S)
    problems = driver.exactness_problems(pygame, surface, size)
    if problems and not allow_scaled:
        pygame.display.quit()
        raise ScreenFault(f"the screen is not exact: {'; '.join(problems)}. Set its scale to 100 % and try again")
    notes += problems
    watch = watch_of(pygame) if off_screen is None else Watch(unasked="nobody sees it")
    facts = _facts(pygame, monitor, surface, notes, watch, off_screen=off_screen is not None)
    viewing = Viewing(
        facts.width_px, facts.height_px, judged_area_mm(active_area_mm, monitor.size_mm), distance_mm, peak_cd_m2
    )
    return PygameScreen(
        pygame, surface, facts, clock=clock, governor=the_governor(viewing), left=give_back, watch=watch
    )


def judged_area_mm(stated: tuple[float, float], told: tuple[float, float] | None) -> tuple[float, float]:
    """Return the lit area to judge flashes by: the stated one, or what the monitor tells where that is larger."""
    # A picture takes up more of the eye's field on the larger one: whichever of the two is wrong, nobody is dazzled.
    return stated if told is None else max(stated, told, key=lambda size: size[0] * size[1])


def _choose(pygame: Any, number: int) -> Monitor:
    driver.native_size(pygame, number)  # refuses a number that is not there
    return monitors_of(pygame)[number]


def _refuse_inexact(pygame: Any, monitor: Monitor, allow_scaled: bool, notes: list[str]) -> None:
    desktop = tuple(pygame.display.get_desktop_sizes()[monitor.number])
    exact = not monitor.scaled
    if pygame.display.get_driver() == "wayland" and monitor.scaled:
        exact = scales_whole((monitor.width_px, monitor.height_px), desktop)
    if exact:
        return
    sentence = f"screen {monitor.number} is scaled by the desktop, so its pixels are not the panel's own"
    if not allow_scaled:
        pygame.display.quit()
        raise ScreenFault(f"{sentence}; set its scale to 100 % (or --allow-scaled, which flags every row)")
    notes.append(sentence)


def scales_whole(native: tuple[int, int], desktop: tuple[int, int]) -> bool:
    """Tell whether a fractional Wayland scale divides the panel's pixels without a rest.

    Compositors scale in steps of 1/120. Only then was the native mode seen to arrive pixel for pixel.
    """
    scale = round(native[0] / desktop[0] * 120) / 120
    return all(abs(n / scale - d) < 1e-6 for n, d in zip(native, desktop, strict=True))


def _set_mode(pygame: Any, monitor: Monitor, *, borderless: bool, off_screen: bool) -> Any:
    flags = 0 if off_screen else (pygame.NOFRAME if borderless else pygame.FULLSCREEN)
    if borderless and monitor.position_px is not None:
        os.environ["SDL_VIDEO_WINDOW_POS"] = f"{monitor.position_px[0]},{monitor.position_px[1]}"
    try:
        surface = pygame.display.set_mode((monitor.width_px, monitor.height_px), flags, display=monitor.number)
    except pygame.error as error:
        raise ScreenFault(
            f"screen {monitor.number} does not take a picture of {monitor.width_px} x {monitor.height_px} "
            f"pixels ({error})"
        ) from error
    finally:
        os.environ.pop("SDL_VIDEO_WINDOW_POS", None)
    pygame.display.set_caption("panelwear")
    pygame.mouse.set_visible(False)
    pygame.key.set_repeat(400, 60)
    surface.fill((0, 0, 0))
    pygame.display.flip()
    return surface


def _let_settle(pygame: Any, clock: Clock, seconds: float) -> None:
    end_s = clock.monotonic_s() + seconds
    while clock.monotonic_s() < end_s:
        pygame.event.pump()
        clock.sleep(0.01)
    # Only what ends it all counts from before anything was to be seen: any other key was meant for something else.
    asked = [event for event in pygame.event.get() if _stops(pygame, event)]
    if not asked and pygame.key.get_pressed()[pygame.K_ESCAPE]:
        asked = [pygame.event.Event(pygame.KEYDOWN, key=pygame.K_ESCAPE, mod=0, unicode="")]
    for event in asked:
        pygame.event.post(event)
    pygame.display.flip()


def _stops(pygame: Any, event: Any) -> bool:
    return bool(event.type == pygame.QUIT or (event.type == pygame.KEYDOWN and event.key == pygame.K_ESCAPE))


def _facts(
    pygame: Any, monitor: Monitor, surface: Any, notes: list[str], watch: Watch, *, off_screen: bool
) -> ScreenFacts:
    library = "pygame-ce" if driver.is_fork(pygame) else "pygame"
    sdl = ".".join(map(str, pygame.get_sdl_version()))
    desktop = () if off_screen else tuple(tuple(size) for size in pygame.display.get_desktop_sizes())
    return ScreenFacts(
        number=monitor.number,
        name=monitor.name,
        width_px=surface.get_width(),
        height_px=surface.get_height(),
        driver=pygame.display.get_driver(),
        library=f"{library} {pygame.version.ver}, SDL {sdl}",
        scaled=bool(notes),
        off_screen=off_screen,
        desktop_sizes=desktop,
        notes=tuple(notes),
        proof=watch.unasked or "compared",
        monitor_sha256=watch.output.monitor_sha256 if watch.output else "",
        colour_table_sha256=watch.output.colour_table_sha256 if watch.output else "",
    )
