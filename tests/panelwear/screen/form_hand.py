"""A hand on a form of four questions."""

from __future__ import annotations

from dataclasses import replace

from panelwear.screen.contract import ScreenEvent
from panelwear.screen.form import Form, begun
from panelwear.screen.form_keys import after
from panelwear.screen.form_page import page_of
from panelwear.screen.operator import Inquiry, Question


def number(text: str) -> str:
    if text == "":
        return ""
    try:
        value = float(text.replace(",", "."))
    except ValueError:
        raise ValueError(f"'{text}' is not a number") from None
    if value < 0:
        raise ValueError("light cannot be negative")
    return f"{value:g}"


BRIGHTNESS = Question("brightness", "Brightness, as its menu shows it", "60", label="Brightness", group="Panel")
SHIFT = Question("shift", "Is pixel shift on?", "unknown", ("yes", "no", "unknown"), label="Pixel shift", group="Panel")
LUX = Question("lux", "Light at the panel", "0.4", unit="lx", check=number, label="Light", group="Room")
NOTE = Question("note", "What else?", label="Note", group="Note")
ALL = (replace(BRIGHTNESS, before="60"), SHIFT, replace(LUX, before="0.4"), NOTE)
KEYS = [question.key for question in ALL]
MODES = ("standard", "user", "cinema", "game", "eco")
MODE = Question("mode", "Which picture mode?", "user", MODES, label="Picture mode", before="user")


def nothing_there(x: int, y: int) -> str:
    return ""


def key(name: str, *, shift: bool = False, control: bool = False) -> ScreenEvent:
    return ScreenEvent("key", 0.0, key=name, shift=shift, control=control)


def pressed(form: Form, *names: str) -> Form:
    for name in names:
        form = after(form, key(name), nothing_there)
    return form


def typed(form: Form, text: str) -> Form:
    for letter in text:
        form = after(form, key("space" if letter == " " else letter), nothing_there)
        form = after(form, ScreenEvent("text", 0.0, text=letter), nothing_there)
    return form


def clicked(form: Form, row: str) -> Form:
    return after(form, ScreenEvent("pointer-down", 0.0, button=1, x=5, y=5), lambda x, y: row)


def form(*questions: Question, **more: object) -> Form:
    return begun(Inquiry(questions or ALL, **more))  # type: ignore[arg-type]


def at(key_: str) -> Form:
    return replace(form(), chosen=key_)


def text_of(one: Form, key_: str) -> str:
    field = one.field(key_)
    assert field is not None
    return field.text


def item(one: Form, key_: str):  # type: ignore[no-untyped-def]
    found = page_of(one).item(key_)
    assert found is not None
    return found


def costly(answers: object) -> tuple[str, ...]:
    return ("brightness: was '60', is now '80'. Cost: much",) if answers["brightness"] == "80" else ()  # type: ignore[index]
