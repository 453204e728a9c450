"""The questions of an inspection: what has to be the same every time, or at least be known."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from panelwear.folder.panel import Panel
from panelwear.screen.answers import number_check
from panelwear.screen.operator import Question

_YES_NO = ("yes", "no", "unknown")


def _asked_number(key: str, text: str, unit: str, low: float, high: float) -> Question:
    return Question(key, text, unit=unit, check=number_check(low, high, unit))


_PANEL, _CYCLE, _ROOM, _EYES = "Settings of the panel", "Compensation and rest", "Room", "Eyes"
_IN_A_FORM = {
    "brightness": ("Brightness", _PANEL),
    "picture_mode": ("Picture mode", _PANEL),
    "brightness_limiter": ("Brightness kept constant", _PANEL),
    "pixel_shift": ("Pixel shift on", _PANEL),
    "hdr_off": ("HDR off", _PANEL),
    "night_light_off": ("Night light off", _PANEL),
    "refresh_hz": ("Refresh rate", _PANEL),
    "cycle_pending": ("Cycle pending", _CYCLE),
    "since_cycle_h": ("Use since the last cycle", _CYCLE),
    "rest_h": ("Rest before this session", _CYCLE),
    "room_lx": ("Light at the panel", _ROOM),
    "room_C": ("Temperature", _ROOM),
    "room_rh": ("Humidity", _ROOM),
    "adaptation_min": ("Time in the dark", _EYES),
    "changed": ("What else has changed", "Note"),
}
"""Label of each question, and the heading it stands under."""

QUESTIONS: dict[str, Question] = {
    q.key: replace(q, label=_IN_A_FORM[q.key][0], group=_IN_A_FORM[q.key][1])
    for q in (
        Question("brightness", "Brightness setting of the panel, as its menu shows it"),
        Question("picture_mode", "Picture mode, as the panel's menu shows it"),
        Question(
            "brightness_limiter",
            "Is a setting that keeps brightness constant switched on?",
            default="unknown",
            choices=_YES_NO,
        ),
        Question("pixel_shift", "Is pixel shift switched on?", default="unknown", choices=_YES_NO),
        Question("hdr_off", "Is HDR off, in the panel and in the system?", default="unknown", choices=_YES_NO),
        Question("night_light_off", "Are night light and other colour shifts off?", default="unknown", choices=_YES_NO),
        _asked_number("refresh_hz", "Refresh rate the system is set to (Hz)", "Hz", 10, 1000),
        Question(
            "cycle_pending",
            "Does the panel say that a compensation cycle is pending?",
            default="unknown",
            choices=_YES_NO,
        ),
        _asked_number("since_cycle_h", "Hours of use since the last compensation cycle", "h", 0, 1e5),
        _asked_number("rest_h", "Hours the panel rested (standby or off) before this session", "h", 0, 1e5),
        _asked_number("room_lx", "Illuminance at the panel with everything dark", "lx", 0, 1e5),
        _asked_number("room_C", "Room temperature", "°C", -20, 60),
        _asked_number("adaptation_min", "Minutes your eyes have been in the dark", "min", 0, 600),
        _asked_number("room_rh", "Relative humidity", "% RH", 0, 100),
        Question("changed", "What else has changed since last time (nothing: leave it empty)"),
    )
}

EYES = Question(
    "eyes", "Glasses, lenses or none? (the same every time)", default="none", label="Glasses or lenses", group=_EYES
)
"""Asked by the by-eye check alone."""

TOPICS: dict[str, tuple[str, ...]] = {
    "settings": (
        "brightness",
        "picture_mode",
        "brightness_limiter",
        "pixel_shift",
        "hdr_off",
        "night_light_off",
        "refresh_hz",
    ),
    "compensation": ("cycle_pending", "since_cycle_h"),
    "rest": ("rest_h",),
    "room": ("room_lx",),
    "temperature": ("room_C",),
    "humidity": ("room_rh",),
    "adaptation": ("adaptation_min",),
    "note": ("changed",),
}
"""Topics of the sequence file, and the questions each stands for."""

SETTINGS = TOPICS["settings"]
"""A difference in one of these is said before the warm-up: it costs comparability."""

NEVER_REMEMBERED = {"changed", "since_cycle_h", "rest_h", "cycle_pending", "adaptation_min"}
"""Last time's answer says nothing about today."""

OF_THE_MOMENT = {"adaptation_min"}
"""Not even this evening's answer says anything later on."""


def with_default(question: Question, known: str | None) -> Question:
    """Offer a known answer as the default, unless it says nothing about today or is not one that would be taken."""
    if not known or question.key in NEVER_REMEMBERED:
        return question
    return with_answer(question, known)


def with_answer(question: Question, known: str) -> Question:
    """Offer an answer given this evening, or last time, as what stands there; one that would not be taken is left."""
    try:
        checked = question.check(known) if question.check is not None else known
    except ValueError:
        return question
    if question.choices and checked not in question.choices:
        return question
    return replace(question, default=checked)


def offered(
    question: Question, given: Mapping[str, str], known: Mapping[str, str], last: Mapping[str, str]
) -> Question:
    """Put a question as the form offers it: with this evening's answer, else the newest there is, and last time's.

    Args:
        question: The question.
        given: Answers of this evening.
        known: The newest answers there are.
        last: Answers of earlier checkpoints.
    """
    if question.key in given:
        question = with_answer(question, given[question.key])
    else:
        question = with_default(question, known.get(question.key))
    return replace(question, before="" if question.key in NEVER_REMEMBERED else last.get(question.key, ""))


def all_given(questions: Sequence[Question], given: Mapping[str, str], told: str) -> str:
    """Say in one line that all of it was answered this evening; empty where something is to be asked."""
    if not all(question.key in given and question.key not in OF_THE_MOMENT for question in questions):
        return ""
    return f"The {len(questions)} answers given {told} are taken."


def within_hours(question: Question, hours: float) -> Question:
    """Hold the hours since the last compensation cycle against those the panel has had."""
    if question.key != "since_cycle_h":
        return question
    return replace(question, check=number_check(0, hours, question.unit))


def stated_by(panel: Panel) -> dict[str, str]:
    """Return the answers that ``panel.toml`` gives already: defaults until the person has answered once."""
    return {"refresh_hz": f"{panel.refresh_hz:g}"}


_ALL = "luminance, white point, channels and ramp compare two settings, not two states of the panel; only zones compare"
SETTINGS_COSTS = {
    "brightness": _ALL,
    "picture_mode": _ALL,
    "hdr_off": _ALL,
    "night_light_off": _ALL,
    "brightness_limiter": "large windows, loading and full fields do not compare; small windows mostly do",
    "pixel_shift": "edges of zones are softer or sharper than before; their insides compare",
    "refresh_hz": "dark greys and gamma can depend on the refresh rate",
}
"""What a difference in each setting costs a comparison."""


def differences(answers: Mapping[str, str], before: Mapping[str, str]) -> tuple[str, ...]:
    """Say which settings differ from last time, and what that costs."""
    return tuple(
        f"differs from last time: {QUESTIONS[key].text.split(',')[0].rstrip('?')}: was '{before[key]}', is now "
        f"'{answers[key]}'. Cost: {SETTINGS_COSTS[key]}"
        for key in SETTINGS
        if key in before and answers.get(key, before[key]) != before[key]
    )


def other_eyes(answers: Mapping[str, str], before: Mapping[str, str]) -> tuple[str, ...]:
    """Say that other glasses are worn than last time."""
    was, now = before.get("eyes", ""), answers.get("eyes", "")
    if not was or not now or was == now:
        return ()
    return (f"eyes: was '{was}', is now '{now}': other eyes see other marks",)


def warnings(answers: Mapping[str, str]) -> tuple[str, ...]:
    """Say which answers make this evening's readings worth less, and what to do."""
    said = []
    if answers.get("cycle_pending") == "yes":
        said.append(
            "a compensation cycle is pending: let the panel run it now and come back after its rest, or measure "
            "before it and say so; never let it start in the middle"
        )
    if answers.get("hdr_off") == "no" or answers.get("night_light_off") == "no":
        said.append("HDR or night light is on: drive levels do not mean what they meant last time; switch it off")
    try:
        if float(answers.get("room_lx") or 0) > 1.0:
            said.append("the room is brighter than 1 lx: black and dark greys will carry the room's light")
        if not 20 <= float(answers.get("room_C") or 24) <= 28:
            said.append("the room is not between 20 and 28 °C: panel and probe drift with temperature")
        if 0 < float(answers.get("rest_h") or 1) < 0.5:
            said.append("the panel rested less than half an hour: short-lived retention may look like wear")
    except ValueError:
        pass
    return tuple(said)
