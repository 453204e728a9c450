"""The cautions (``panelwear.cautions``) on the screen: before which pictures they come, their page, once an evening."""

from __future__ import annotations

import numpy as np

from groundwork.clock import Clock
from panelwear.cautions import CAUTIONS, LIGHT, Caution
from panelwear.screen.contract import Screen
from panelwear.screen.evening import Evening
from panelwear.screen.light import LINEAR, LUMINANCE_SHARES
from panelwear.screen.operator import Operator
from panelwear.screen.page import Buttons, Item, Page, Part, Words
from patterns.frame import Frame
from patterns.raster import raster

BRIGHT_CD_M2 = 50.0
"""Mean light from which a picture is called bright; bright stripes from 50 cd/m² are restricted in broadcasting
(Wilkins, Emmett, Harding 2005)."""
PAIRS = 5
"""Light-dark pairs from which a picture is called patterned (broadcasting practice, from memory)."""
UNHEARD_S = 1.0
"""Keys of a caution's first second are not heard: they were meant for something else, or nobody has read it."""
READ = "caution-light"
READ_ALL = "caution-inspection"
"""Under which names is remembered that they were read: those of light alone, and all of them."""
TITLE = "Before you go on"


def caution_page(cautions: tuple[Caution, ...], more: tuple[str, ...] = ()) -> Page:
    """Make the page of cautions: bright enough for a lit room, for it comes before eyes adapt to the dark.

    Args:
        cautions: Each with the words it begins with.
        more: Sentences that belong to this evening alone.
    """
    parts: list[Part] = [Words(caution.text, lead=caution.about) for caution in cautions]
    parts += [Words(sentence, "strong") for sentence in more]
    parts.append(Buttons((Item("go-on", "I have read this"),)))
    keys = (("Return or click", "go on"), ("Escape", "leave"))
    return Page(TITLE, tuple(parts), chosen="go-on", keys=keys, room="lit")


def say_cautions(
    screen: Screen,
    operator: Operator,
    clock: Clock,
    evening: Evening | None,
    *,
    all_of_them: bool = True,
    more: tuple[str, ...] = (),
) -> None:
    """Say the cautions on screen and terminal, wait until they are read, and remember it for the evening.

    Args:
        screen: Where the page is put up.
        operator: Who reads it.
        clock: Says which evening it is.
        evening: What was read already; ``None``: nobody is there, nothing is asked of it nor remembered.
        all_of_them: Whether those of an inspection are said too, else those of light alone.
        more: Sentences for this evening, said with them.
    """
    cautions = CAUTIONS if all_of_them else LIGHT
    now = clock.utc()
    names = (READ_ALL,) if all_of_them else (READ, READ_ALL)
    read = next((at for name in names if evening is not None and (at := evening.read_at(name, now))), None)
    if read is not None:
        operator.tell(f"The cautions were read at {read.astimezone():%H:%M} and hold.")
        for sentence in more:
            operator.tell(sentence)
        return
    text = "\n".join((*(caution.text for caution in cautions), *more))
    if evening is None:
        screen.page(caution_page(cautions, more))  # somebody may see it all the same
        operator.tell(text)
        return
    operator.go_on(text, UNHEARD_S, page=caution_page(cautions, more))
    evening.note(READ_ALL if all_of_them else READ, clock.utc())


def is_bright(frame: Frame, peak_cd_m2: float) -> bool:
    """Tell whether the mean luminance (assumed gamma 2.2) is 50 cd/m² or more."""
    picture = raster(frame)
    step = max(1, min(picture.shape[:2]) // 251)
    mean = LINEAR[picture[::step, ::step]].reshape(-1, 3).mean(axis=0)
    return float(mean @ LUMINANCE_SHARES) * peak_cd_m2 >= BRIGHT_CD_M2


def is_patterned(frame: Frame) -> bool:
    """Tell whether some row or column runs through more than five light-dark pairs."""
    picture = raster(frame)
    rows = picture[np.linspace(0, frame.height - 1, 9).astype(int)]
    columns = picture[:, np.linspace(0, frame.width - 1, 9).astype(int)].transpose(1, 0, 2)
    return any(_pairs(lines) > PAIRS for lines in (rows, columns))


def _pairs(lines: np.ndarray[tuple[int, ...], np.dtype[np.uint8]]) -> float:
    luminance = LINEAR[lines] @ LUMINANCE_SHARES
    light = luminance > (luminance.min() + luminance.max()) / 2
    if np.ptp(luminance) < 0.1:
        return 0
    return float((light[:, 1:] != light[:, :-1]).sum(axis=1).max()) / 2


def needs_caution(frame: Frame, peak_cd_m2: float) -> bool:
    """Tell whether the caution has to come first."""
    return is_bright(frame, peak_cd_m2) or is_patterned(frame)
