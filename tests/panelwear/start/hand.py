"""A hand at the start screen's pages, without a screen: keys, typing and clicks on rows by their id."""

from __future__ import annotations

from panelwear.screen.contract import ScreenEvent
from panelwear.screen.form import FEW
from panelwear.screen.monitors import Monitor
from panelwear.screen.page import Page, Words
from panelwear.start.facts import Choice, PanelFacts, World
from panelwear.start.form import FormView
from panelwear.start.state import State, after, page_of

MONITOR = Monitor(0, 3840, 2160, "DP-1", size_mm=(596.7, 335.7))
DESK = PanelFacts(
    "/p/desk",
    name="harbour-desk",
    width_px=3840,
    height_px=2160,
    hours="1460 h",
    last="last: 2026-02-03, spot",
    open_name="2026-02-03-h1460",
    doing="close",
    next_step="2026-02-03-h1460 is open",
    checkpoints=1,
    readings=204,
)
GONE = PanelFacts("/p/gone", name="gone", doing="gone", next_step="the folder is gone")
WORLD = World(
    panels=(DESK, GONE),
    monitors=(MONITOR, Monitor(1, 1920, 1080, "HDMI-1")),
    links=(Choice("/dev/ttyUSB0", "/dev/ttyUSB0", "USB serial"),),
    instruments=(Choice("plain-lines", "plain-lines"), Choice("scpi-colorimeter", "scpi-colorimeter")),
    sequences=(Choice("checkpoint", "checkpoint"), Choice("zones", "zones")),
    exports=(Choice("cgats", "text, ISO 28178"), Choice("xlsx", "spreadsheet")),
    no_exports="Not here: Parquet; something installs it.",
    home="/home/them/panelwear",
)


def key(state: State, *names: str, control: bool = False) -> State:
    for name in names:
        state = after(state, ScreenEvent("key", 0.0, key=name, control=control), lambda x, y: "")
    return state


def typed(state: State, text: str) -> State:
    return after(state, ScreenEvent("text", 0.0, text=text), lambda x, y: "")


def click(state: State, row: str) -> State:
    assert row in [item.id for item in page_of(state).items], f"{row} is not on '{page_of(state).title}'"
    return after(state, ScreenEvent("pointer-down", 0.0, x=1, y=1, button=1), lambda x, y: row)


def filled(state: State, **values: str) -> State:
    for row, text in values.items():
        state = typed(click(state, row), text)
    return state


def answers(state: State) -> dict[str, str]:
    """Return what stands in the form that is on."""
    assert isinstance(state.view, FormView)
    return state.view.form.answers


def picked(state: State, row: str, choice: str) -> State:
    """Pick a choice of a row: from its list where it has many, else by going round."""
    state = click(state, row)
    if page_of(state).item(choice) is not None:
        return click(state, choice)
    for _ in range(FEW):
        state = state if answers(state)[row] == choice else key(state, "right")
    assert answers(state)[row] == choice
    return state


def words(page: Page) -> str:
    parts = [part.text for part in page.parts if isinstance(part, Words)]
    rows = [" ".join((i.label, i.value, i.note, i.mark, i.fault)) for i in page.items]
    return "\n".join((page.title, *parts, *rows))
