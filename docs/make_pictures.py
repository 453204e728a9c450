"""Make the pictures of docs/screens.md, and that page, from the program itself: ``python docs/make_pictures.py``.

With ``--journeys`` also the pictures of every step of docs/journeys.toml: the tests named there go the steps on a real
X server and keep what it holds; it takes ten minutes.

Each screen is drawn by the real screen on the driver that nobody sees, at 1280 x 720. A further one is a line in
``SCREENS``. Dark screens are brightened for print: what a dark room shows as 1 cd/m² is black on paper.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass, replace
from pathlib import Path

from invented_desk import DESK, WORLD
from journey_pictures import keep, listed_journeys
from picturing import Put, at_the_target, pixels_of, store

from panelwear.ageing.growth import Growth
from panelwear.ageing.zone_forecast import zone_forecast
from panelwear.byeye.preparation import DARK
from panelwear.byeye.walk_cards import HELP as WALK_KEYS
from panelwear.camera.shoot_pages import Noticed, begin_page, keys_page, shot_page
from panelwear.camera.shoot_plan import ShootPlan, plan_shoot
from panelwear.camera.shooting import fault_of
from panelwear.cautions import CAUTIONS, LIGHT
from panelwear.folder.panel import Panel
from panelwear.forecast.answers import Answer, Foretold
from panelwear.forecast.targets import target_of
from panelwear.forecast.told import parts_of
from panelwear.forecast.uses import use_of
from panelwear.panel.assumed import assumed_response
from panelwear.panel.resolve import LevelResolver
from panelwear.panel.steady import Sample
from panelwear.run import interruption, meter, meter_hold
from panelwear.run.meter_hold import NO_ANSWER, WHAT_TO_DO
from panelwear.run.pages import Held, done_page, held_page, held_question, stored_words
from panelwear.run.pause import Paused, keys_card
from panelwear.run.plan import CANNOT
from panelwear.run.progress import overlay_card
from panelwear.run.route_page import route_drawing, route_page, route_words
from panelwear.run.steps import implausible, without_light
from panelwear.run.steps.warm_up_card import warm_up_card
from panelwear.screen.camera import BETWEEN
from panelwear.screen.caution import caution_page
from panelwear.screen.contract import Card, Screen, ScreenEvent
from panelwear.screen.form import begun as form_begun
from panelwear.screen.form import left, listing_choices, moved, taken, with_text
from panelwear.screen.form_page import page_of as form_page
from panelwear.screen.hold import HELP as HOLD_KEYS
from panelwear.screen.operator import Inquiry, Progress, Question
from panelwear.screen.page import Page
from panelwear.screen.placing_page import PLACING
from panelwear.screen.questions import QUESTIONS, differences
from panelwear.screen.surface import LEAVING
from panelwear.simulation.usage import HARBOUR_DESK
from panelwear.start.forecast_form import forecast_form
from panelwear.start.forms import measuring_form, new_panel_form
from panelwear.start.menu import First, PanelPage
from panelwear.start.planning import DRAWN_SHARE_WITH_WORDS
from panelwear.start.record import blocks_of_parts
from panelwear.start.state import Run, ShowWay, State, View, page_of
from panelwear.start.told import Told
from panelwear.start.usage_form import usage_form
from panelwear.start.way import Planned, Way
from panelwear.zoning.editor import Editor
from panelwear.zoning.editor import begun as zones_begun
from panelwear.zoning.fits import Probe
from panelwear.zoning.plan import plan_of
from panelwear.zoning.questions import page_of as zones_page
from panelwear.zoning.step import step
from panelwear.zoning.view import Surroundings, clear_of, desk_of
from patterns import build
from patterns.frame import Picture, Rect
from sequences.expand import expand
from sequences.model import PanelFacts as SequenceFacts
from sequences.model import Zone
from sequences.reader import load
from sequences.shoots import source_of

SIZE = (1280, 720)
DOCS = Path(__file__).resolve().parent
FOLDER = DOCS / "pictures" / "screens"


@dataclass(frozen=True, slots=True)
class Pictured:
    """One screen of the program."""

    name: str
    """Of its file."""
    caption: str
    put: Put
    """Puts it up."""


def page(made: Page) -> Put:
    """Put a page up."""
    return lambda screen: screen.page(made)


def over(code: float, card: Card) -> Put:
    """Lay a card over a grey field."""
    return lambda screen: _over(screen, code, card)


def _over(screen: Screen, code: float, card: Card) -> None:
    screen.show(build("field", *SIZE, codes=(code,) * 3))
    screen.card(card)


ZONES = (
    Zone("chart", Rect(0, 0, 1280, 720), (640.0, 400.0)),
    Zone("vessel-list", Rect(0, 0, 256, 720), (128.0, 360.0), "chart"),
    Zone("clock-badge", Rect(1090, 24, 166, 88), (1173.0, 68.0), "chart"),
    Zone("route-line", Rect(420, 250, 560, 20), (700.0, 260.0), "chart"),
)
PITCH_MM = 598.0 / SIZE[0]
ON_PANEL = SequenceFacts(*SIZE, (598.0, 336.0), zones=ZONES, aperture_mm=10.0)
BEFORE = {
    "brightness": "60", "picture_mode": "user", "brightness_limiter": "no", "pixel_shift": "yes", "hdr_off": "yes",
    "night_light_off": "yes", "refresh_hz": "60", "room_lx": "0.4", "room_C": "22", "room_rh": "45",
}  # fmt: skip


def started(*views: View) -> Put:
    """Put up the start screen with pages over its first one."""
    return page(page_of(State(WORLD, (First(), *views))))


def _forecast() -> Told:
    target = target_of("vessel-list contrast 5 %", [zone.name for zone in ZONES])
    points = [Growth(hours, -3.4 * (hours / 3800) ** 0.8, 0.05) for hours in (0.0, 950.0, 1900.0, 2850.0, 3800.0)]
    told = zone_forecast(target.of, points, target.value)
    answer = Answer(target, told.said, told.low_h, told.high_h, told.low_h, told.sentence)
    found = Foretold(
        "harbour-desk", 0.0, 3800.0, 9.0, (answer,), (use_of("8h x 5d/week"), use_of("half my brightness"))
    )
    return Told("Forecast: harbour-desk, done", blocks_of_parts(parts_of(found)))


def _way() -> Way:
    steps, name = expand(load("half-hour"), ON_PANEL, 1), "half-hour"
    _, _, cannot = load(name).description.partition(CANNOT)
    words, drawing = route_words(steps, ON_PANEL), route_drawing(steps, ON_PANEL, DRAWN_SHARE_WITH_WORDS)
    asked = ShowWay(Run(("inspect", DESK.folder), "Inspection: harbour-desk", on_screen=True), name)
    return Way(asked, Planned(name, words, (f"Half-hour cannot tell: {cannot}",), drawing=drawing))


def _questions() -> Inquiry:
    asked = (replace(q, default=BEFORE.get(q.key, q.default), before=BEFORE.get(q.key, "")) for q in QUESTIONS.values())
    return Inquiry(tuple(asked), "Before the first light", lambda answers: differences(answers, BEFORE), lit=True)


FORM = with_text(moved(form_begun(_questions()), "brightness"), "brightness", "70")
CHOICES = listing_choices(moved(measuring_form(DESK, WORLD, "spot").form, "link"))


def _paused(screen: Screen) -> None:
    screen.show(build("pause", *SIZE, codes=(14.0,) * 3))
    said = Paused(
        "41 readings stored in 2026-02-03-h1460",
        "last: 72.3 cd/m²  x 0.3127  y 0.3290",
        "visit 3 of 12, patch 41 of 210",
    )
    screen.card(said.card(0.0))


def _implausible(screen: Screen) -> None:
    read = "zone/vessel-list/white reads 0.021 cd/m², black where light is due: 182 cd/m² was to be expected."
    look = f"{implausible.CAUSES[:1].upper()}{implausible.CAUSES[1:]}"
    safe = stored_words(41, "2026-02-03-h1460")
    held = Held(implausible.TITLE, read, look, safe, "visit 3 of 12, patch 41 of 210, about 34 min left")
    made = held_question("implausible", held, implausible.WAYS).page
    if made is not None:
        screen.page(made)


def asked(question: Question) -> Put:
    """Put a question's page up."""
    made = question.page
    return page(made if made is not None else Page(question.text, ()))


def _another_meter(screen: Screen) -> None:
    said = "The meter that answers is SIMULATED 0099; so far in this session it was SIMULATED 0042."
    safe = stored_words(41, "2026-02-03-h1460")
    held = Held(meter_hold.OTHER, said, meter.LOOK, safe, "visit 3 of 12, patch 41 of 210, about 34 min left")
    asked(held_question("another_meter", held, meter_hold.WAYS, pauses=False))(screen)


def _covered() -> Question:
    dark = without_light.DARK[0]
    safe = stored_words(20, "2026-02-03-h1460")
    held = Held(dark.title, dark.before, dark.why, safe, "visit 1 of 12, about 48 min left", calm=True)
    return held_question(dark.purpose, held, dark.ways)


STAYED = held_question(
    "stayed_lit",
    Held(
        interruption.TITLE,
        f"The session was interrupted for 4 min. {interruption.ASKED}",
        interruption.TO_DO,
        "What was read before is stored.",
        calm=True,
    ),
    interruption.WAYS,
    pauses=False,
)


def _zones(screen: Screen) -> None:
    state = clear_of(MOVED)
    screen.desk(desk_of(state, Surroundings("harbour-desk", Probe(10.0, (PITCH_MM, PITCH_MM)))))


def _no_row(_x: int, _y: int) -> str:
    return ""


def zones_step(state: Editor, key: str) -> Editor:
    """Press a key over the zones."""
    return step(state, ScreenEvent("key", 0.0, key=key), _no_row)


ESCAPE, NEXT_ROW = "escape", "home"
MOVED = zones_step(zones_step(zones_begun(plan_of(ZONES), SIZE), "tab"), "right")
WARMING = tuple(Sample(300.0 * n, 61.0 + 0.8 * 0.5**n, 0.3128, 0.3291, 4e-4, 5e-5, 5e-5, 5) for n in range(3))
ON_THE_WAY = Progress(
    41,
    210,
    0.19,
    4300.0,
    "grid/x100y900/grey/c128/full",
    "last: 38.2 cd/m²  x 0.3127  y 0.3290",
    place="visit 3 of 12, patch 41 of 210",
)

CHECKPOINT = "2026-02-03-h1460"


def _shoot() -> ShootPlan:
    panel = Panel(Path("harbour-desk"), "harbour-desk", *SIZE, (598.0, 336.0), 60.0, 600.0, {"peak_cd_m2": 250.0})
    source, wanted = source_of("usual")
    return plan_shoot(
        panel, LevelResolver(assumed_response(panel.assumed_response)), "usual", source, wanted, poses=False
    )


SHOOT = _shoot()
SHOT_RECORD = SHOOT.record("shoot-1", "2026-02-03T18:00:00.000Z", {})


def _shot(stood_s: float = 96.0) -> Page:
    """Make the page before a grey, with what is known of the shot before it."""
    shots = SHOT_RECORD.shots
    at = next(n for n, one in enumerate(shots) if one.name == "grey-20cd")
    before = shots[at - 1]
    return shot_page(SHOT_RECORD, at, Noticed(at - 1, before.name, stood_s, fault_of(before, stood_s, "")))


SCREENS: tuple[Pictured, ...] = (
    Pictured("start", "`panelwear` alone: the panels known, and what is due.", started()),
    Pictured(
        "panel",
        "One panel, and all that can be done with it.",
        started(PanelPage(DESK.folder)),
    ),
    Pictured("forecast", "When wear will matter, for this use and for others.", started(_forecast())),
    Pictured(
        "forecast-form",
        "What a forecast may be asked for.",
        started(forecast_form(replace(DESK, zones=tuple(one.zone for one in HARBOUR_DESK)), WORLD)),
    ),
    Pictured("new-panel", "A new panel.", started(new_panel_form(WORLD))),
    Pictured(
        "measure",
        "What an inspection is begun with.",
        started(measuring_form(DESK, WORLD, "inspect")),
    ),
    Pictured(
        "usage",
        "What the panel shows: hours a day, brightness, content by zone.",
        started(usage_form(replace(DESK, zones=tuple(one.zone for one in HARBOUR_DESK)), WORLD)),
    ),
    Pictured(
        "way",
        "Before an inspection: where the probe goes, how long it takes, what a short sequence cannot tell.",
        started(PanelPage(DESK.folder), _way()),
    ),
    Pictured("zones", "Zones drawn on the panel, the probe's opening to scale.", _zones),
    Pictured(
        "zones-leave",
        "Escape asks before work is lost.",
        page(zones_page(zones_step(zones_step(MOVED, ESCAPE), NEXT_ROW))),
    ),
    Pictured("form", "All questions in one form, with last time's answers.", page(form_page(FORM))),
    Pictured("form-costs", "What differs, and what that costs, before the warm-up.", page(form_page(taken(FORM)))),
    Pictured("form-choices", "What a row with many choices offers.", page(form_page(CHOICES))),
    Pictured("form-leave", "Escape asks before what was typed is lost.", page(form_page(left(FORM)))),
    Pictured("placing", "How the probe is put on.", page(PLACING)),
    Pictured(
        "route",
        "The probe's way over the panel.",
        page(route_page("checkpoint", expand(load("checkpoint"), ON_PANEL, 1), ON_PANEL)),
    ),
    Pictured(
        "warm-up",
        "While the panel warms up: what is waited for, and how long.",
        over(90.0, warm_up_card(95.0, "to the next look", (12.0, 20.0, 60.0), WARMING, "top-left")),
    ),
    Pictured("paused", "p: the pause.", _paused),
    Pictured("keys", "h or ?: the keys of a run.", over(90.0, keys_card("centre", typed=True))),
    Pictured(
        "meter-gone",
        "A meter that does not answer.",
        page(
            held_page(
                NO_ANSWER,
                "Nothing came within 6 s.",
                WHAT_TO_DO,
                stored_words(41, "2026-02-03-h1460"),
                "visit 3 of 12, patch 41 of 210, about 48 min left",
            )
        ),
    ),
    Pictured("another-meter", "Another meter than before answers.", _another_meter),
    Pictured("stayed-lit", "Going on after an interruption: how the panel is warmed up.", asked(STAYED)),
    Pictured("without-light", "What the probe reads without light.", asked(_covered())),
    Pictured(
        "done",
        "The end of a run.",
        page(
            done_page(
                "The session is through: checkpoint.",
                stored_words(610, "2026-02-03-h1460"),
                ("Next: panelwear close harbour-desk, then panelwear compare harbour-desk.",),
            )
        ),
    ),
    Pictured("cautions", "Before an inspection, once an evening, in a lit room.", page(caution_page(CAUTIONS))),
    Pictured("cautions-by-eye", "Before the by-eye check: eyes adapt after it.", page(caution_page(CAUTIONS, (DARK,)))),
    Pictured("implausible", "A reading that cannot be right holds the run.", _implausible),
    Pictured("cautions-light", "Before bright patterns of `show` and `screens`.", page(caution_page(LIGHT))),
    Pictured("placement", "Where the probe goes; the card keeps away from it.", at_the_target(SIZE, (0.1, 0.9), 30.0)),
    Pictured("overlay", "While a patch settles: place in the run and time left.", over(0.0, overlay_card(ON_THE_WAY))),
    Pictured("walk-keys", "Keys of the by-eye walk (h).", over(12.0, Card(tuple(WALK_KEYS), title="Keys"))),
    Pictured("hold-keys", "Keys of a held pattern, on a grey of code 128.", over(128.0, Card(HOLD_KEYS, title="Keys"))),
    Pictured(
        "question",
        "A question, with what was typed so far.",
        over(0.0, Card(("Return or a click takes it; Escape stops.",), title="Light in the room (lx)", entry="0.4")),
    ),
    Pictured(
        "photograph",
        "Between two photographs.",
        over(0.0, Card(("next photograph: 03-field-128", *BETWEEN), corner="centre")),
    ),
    Pictured("shoot-begin", "Before a shoot: what comes, how long, how bright.", page(begin_page(SHOOT, CHECKPOINT))),
    Pictured("shoot-shot", "Before each photograph: what to set; of the one before, how it stood.", page(_shot())),
    Pictured("shoot-short", "A field that stood too short is offered once more.", page(_shot(12.0))),
    Pictured("shoot-keys", "h, ? or F1: the keys of a shoot.", page(keys_page())),
    Pictured("leaving", "Before the desktop comes back.", over(0.0, LEAVING)),
)
"""Every screen, in the order of the page."""


JOURNEYS = listed_journeys()


def picture_of(one: Pictured) -> Picture:
    """Put one screen up and return its pixels, ``(height, width, 3)`` uint8."""
    return pixels_of(one.put, SIZE)


def page_text() -> str:
    """Write docs/screens.md."""
    head = (
        "# Screens\n\nEvery screen as the program draws it at 1280 x 720, made by `python docs/make_pictures.py`. "
        "Dark ones are brightened\nfor print: in the room their text shows at most 1 cd/m². What stands on them is "
        "invented. At the end of the page are whole\njourneys, step by step.\n"
    )
    screens = "".join(f"\n## {one.caption}\n\n![{one.caption}](pictures/screens/{one.name}.png)\n" for one in SCREENS)
    return head + screens + "".join(one.text for one in JOURNEYS)


def main() -> None:
    """Make all pictures and the page."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    for one in SCREENS:
        store(picture_of(one), FOLDER / f"{one.name}.png")
    if "--journeys" in sys.argv[1:]:
        keep([word for word in sys.argv[1:] if not word.startswith("-")])
    (DOCS / "screens.md").write_text(page_text(), encoding="utf-8")


if __name__ == "__main__":
    main()
