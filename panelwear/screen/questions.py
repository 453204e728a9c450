"""The questions of an inspection: what has to be the same every time, or at least be known."""

from __future__ import annotations

from dataclasses import replace

from panelwear.folder.panel import Panel
from panelwear.screen.operator import Question

_YES_NO = ("yes", "no", "unknown")


def _number(low: float, high: float, unit: str) -> object:
    def check(text: str) -> str:
        if text == "":
            return ""
        try:
            value = float(text.strip().removesuffix(unit).replace(",", "."))
        except ValueError:
            raise ValueError(f"'{text}' is not a number; type a number of {unit}, or nothing") from None
        if not low <= value <= high:
            raise ValueError(f"{value:g} {unit} is outside {low:g}..{high:g} {unit}")
        return f"{value:g}"

    return check


def _asked_number(key: str, text: str, unit: str, low: float, high: float) -> Question:
    check = _number(low, high, unit)
    return Question(key, text, unit=unit, check=check)  # type: ignore[arg-type]


QUESTIONS: dict[str, Question] = {
    q.key: q
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
        _asked_number("rest_h", "Hours the panel rested (standby or off) before this evening", "h", 0, 1e5),
        _asked_number("room_lx", "Illuminance at the panel with everything dark", "lx", 0, 1e5),
        _asked_number("room_C", "Room temperature", "°C", -20, 60),
        _asked_number("adaptation_min", "Minutes your eyes have been in the dark", "min", 0, 600),
        _asked_number("room_rh", "Relative humidity", "% RH", 0, 100),
        Question("changed", "What else has changed since last time (nothing: just Return)"),
    )
}

EYES = Question("eyes", "Glasses, lenses or none? (the same every time)", default="none")
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


def with_default(question: Question, known: str | None) -> Question:
    """Offer a known answer as the default, unless it says nothing about today or is not one that would be taken."""
    if not known or question.key in NEVER_REMEMBERED:
        return question
    try:
        return replace(question, default=question.check(known) if question.check is not None else known)
    except ValueError:
        return question


def within_hours(question: Question, hours: float) -> Question:
    """Hold the hours since the last compensation cycle against those the panel has had."""
    if question.key != "since_cycle_h":
        return question
    check = _number(0, hours, question.unit)
    return replace(question, check=check)  # type: ignore[arg-type]


def stated_by(panel: Panel) -> dict[str, str]:
    """Return the answers that ``panel.toml`` gives already: defaults until the person has answered once."""
    return {"refresh_hz": f"{panel.refresh_hz:g}"}


def differences(answers: dict[str, str], before: dict[str, str]) -> tuple[str, ...]:
    """Say which settings differ from last time."""
    return tuple(
        f"{QUESTIONS[key].text.split(',')[0]}: was '{before[key]}', is now '{answers[key]}'"
        for key in SETTINGS
        if key in before and answers.get(key, before[key]) != before[key]
    )


def warnings(answers: dict[str, str]) -> tuple[str, ...]:
    """Say which answers make this evening's readings worth less, and what to do."""
    said = []
    if answers.get("cycle_pending") == "yes":
        said.append(
            "a compensation cycle is pending: let the panel run it now and come back after its rest, or measure "
            "before it and say so; never let it start in the middle"
        )
    if answers.get("hdr_off") == "no" or answers.get("night_light_off") == "no":
        said.append("HDR or night light is on: codes do not mean what they meant last time; switch it off")
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
