"""A hand-held meter: a person reads its display and types what it shows."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from groundwork.clock import Clock, RealClock
from probe_io.reading import UNITS, Idle, ProbeIdentity, Reading, tristimulus

PROMPT = "Type Y, or Y x y, or X Y Z as the meter shows it ('skip REASON' leaves this one out{back})"
BACK = ", 'back' corrects the one before"
ALIKE = (0.7, 1.4)
"""Readings of one patch lie within these, one over the other; a slip of the decimal mark does not."""
LEAST_CD_M2 = 0.1
"""Darker light scatters as much by itself."""
KEEP = "Return keeps it, 'back' types it again"


class TypingError(ValueError):
    """What was typed cannot be used; the sentence says why, and the question is put again."""


@dataclass(frozen=True, slots=True)
class Typed:
    """What a line of typing means."""

    quantity: str
    """``Y``, ``Yxy`` or ``XYZ``."""
    numbers: tuple[float, ...]
    """In the order of the quantity; luminances in the meter's unit."""


def parse_typed(text: str, usual: str = "") -> Typed:
    """Read one line: ``182,4`` or ``182.4 0.3127 0.3290`` or ``XYZ 173.4 182.4 198.6``.

    Three numbers are Y x y when the last two are above 0 and sum to less than 1, else X Y Z. Where both are
    possible (X, Y and Z may all be that small in the dark) ``usual`` decides, else a word in front is asked for.

    Args:
        text: What was typed; blanks, ``;``, ``/`` or a comma and a blank divide numbers; decimal point or comma.
        usual: ``Yxy`` or ``XYZ``, where it is known from what was typed before.
    """
    words = text.replace(";", " ").replace("/", " ").replace("\t", " ").split()
    named = ""
    if words and words[0].upper() in {"XYZ", "YXY", "Y"}:
        named = {"XYZ": "XYZ", "YXY": "Yxy", "Y": "Y"}[words[0].upper()]
        words = words[1:]
    words = [word.rstrip(",") for word in words]
    numbers = tuple(_number(word) for word in words)
    if len(numbers) not in {1, 3}:
        raise TypingError(f"{len(numbers)} numbers were typed; wanted one (Y) or three (Y x y, or X Y Z)")
    if len(numbers) == 1:
        if named in {"XYZ", "Yxy"}:
            raise TypingError(f"{named} needs three numbers")
        return _sound(Typed("Y", numbers))
    if named == "Y":
        raise TypingError("Y needs one number")
    return _sound(Typed(named or _told_apart(numbers, usual), numbers))


def _told_apart(numbers: tuple[float, ...], usual: str) -> str:
    first, second, third = numbers
    if not (second > 0.0 and third > 0.0 and second + third < 1.0):
        return "XYZ"
    if first >= 1.0:
        return "Yxy"
    if usual:
        return usual
    raise TypingError("this could be Y x y or X Y Z; write 'Yxy' or 'XYZ' in front")


def _uncertainty(typed: Typed, text: str, usual: str) -> str:
    """Say that numbers below 1 were taken as Y and Z, where a slip in x and y is as likely."""
    if typed.quantity != "XYZ" or usual == "XYZ" or text[:1].isalpha():
        return ""
    _, second, third = typed.numbers
    if not (0.0 < second < 1.0 and 0.0 < third < 1.0):
        return ""
    return f"Taken as X Y Z, because {second:g} and {third:g} sum to 1 or more and so cannot be x and y. "


def _sound(typed: Typed) -> Typed:
    if typed.quantity == "Yxy":
        _, x, y = typed.numbers
        if not (0.0 <= x <= 1.0 and 0.0 < y <= 1.0 and x + y <= 1.0):
            raise TypingError(f"x {x:g} and y {y:g} are no chromaticity: both lie from 0 to 1 and sum to 1 at most")
    if min(typed.numbers) < 0.0:
        raise TypingError("a number below zero is no light; type what the meter shows")
    return typed


def _number(word: str) -> float:
    if word.count(",") + word.count(".") > 1:
        raise TypingError(f"'{word}' has more than one decimal mark; put blanks between numbers and none inside")
    plain = word.replace(",", ".")
    mantissa, _, exponent = plain.lower().partition("e")
    digits = mantissa.lstrip("+-").replace(".", "", 1)
    power = exponent.lstrip("+-")
    usable = digits.isascii() and digits.isdigit() and (not exponent or (power.isascii() and power.isdigit()))
    if not usable or len(plain) > 40 or len(power) > 2:
        raise TypingError(f"'{word}' is no number; type for example 182.4 or 182,4")
    try:
        return float(plain)
    except ValueError:
        raise TypingError(f"'{word}' is no number; type for example 182.4 or 182,4") from None


class KeyboardProbe:
    """A probe whose readings are typed in; each is shown back and kept, or typed again, before it is stored."""

    def __init__(
        self,
        ask: Callable[[str], str],
        *,
        unit: str = "cd/m2",
        clock: Clock | None = None,
        before: Callable[[], float | None] = lambda: None,
        back: Callable[[], None] | None = None,
    ) -> None:
        """Make it.

        Args:
            ask: Shows a prompt and returns what was typed.
            unit: Of the meter's luminances.
            clock: Says when.
            before: Luminance in cd/m² of the readings of the same patch so far; ``None``: there are none.
            back: Called where ``back`` is typed in the place of a reading, to correct the one before; what it raises
                goes through. ``None``: what is stored cannot be corrected here.
        """
        self._ask = ask
        self._before = before
        self._back = back
        self._factor = UNITS[unit]
        self._clock = clock or RealClock()
        self._usual = ""

    def open(self) -> ProbeIdentity:
        """Say that a person is the link."""
        return ProbeIdentity(instrument="keyboard", link="keyboard")

    def close(self) -> None:
        """Nothing is held open."""

    def measure(self, integration_s: float | None = None, idle: Idle | None = None) -> Reading:
        """Ask for one reading; what ``ask`` raises when the person stops goes through.

        Args:
            integration_s: Has no meaning for a meter in the hand; handed back in the reading.
            idle: Called before each question; ``ask`` keeps the screen alive while it waits.
        """
        requested_at_s = self._clock.monotonic_s()
        say, prompt = "", PROMPT.format(back="" if self._back is None else BACK)
        while True:
            if idle is not None:
                idle()
            text = self._ask(f"{say}{prompt}").strip()
            say, reading = self._one(text, requested_at_s, integration_s or 0.0)
            if reading is not None:
                return reading

    def _one(self, text: str, requested_at_s: float, integration_s: float) -> tuple[str, Reading | None]:
        word, _, rest = text.partition(" ")
        if word.lower() == "back":
            if self._back is not None:
                self._back()
            return "The reading before is stored already. ", None
        if word.lower() == "skip":
            if not rest.strip():
                return "Say why, such as 'skip meter slipped'. ", None
            skipped = _reading((None, None, None), ("skipped",), text, requested_at_s, integration_s)
            return "", self._timed(replace(skipped, note=rest.strip()))
        try:
            typed = parse_typed(text, self._usual)
        except TypingError as error:
            return f"{_capital(str(error))}. ", None
        return self._kept(typed, text, requested_at_s, integration_s)

    def _kept(self, typed: Typed, text: str, requested_at_s: float, integration_s: float) -> tuple[str, Reading | None]:
        names = {"Y": ("Y",), "Yxy": ("Y", "x", "y"), "XYZ": ("X", "Y", "Z")}[typed.quantity]
        light = tristimulus(typed.quantity, dict(zip(names, typed.numbers, strict=True)), self._factor)
        shown = "  ".join(f"{name} {number:g}" for name, number in zip(names, typed.numbers, strict=True))
        unsure = _uncertainty(typed, text, self._usual) + self._unlike(light[1])
        answer = self._ask(f"{shown}: {light[1]:.5g} cd/m². {unsure}{KEEP}").strip()
        if answer.lower() == "back":
            return "", None
        if answer:
            # A new line typed straight away replaces the old one.
            return self._one(answer, requested_at_s, integration_s)
        if typed.quantity != "Y":
            self._usual = typed.quantity
        return "", self._timed(_reading(light, ("typed-in",), text, requested_at_s, integration_s))

    def _unlike(self, luminance_cd_m2: float) -> str:
        """Say that a reading is far from those of the same patch before it."""
        before = self._before()
        if before is None or before < LEAST_CD_M2 or ALIKE[0] <= luminance_cd_m2 / before <= ALIKE[1]:
            return ""
        return f"Is that right? The readings before were {before:.4g} cd/m². "

    def _timed(self, reading: Reading) -> Reading:
        return replace(reading, took_s=self._clock.monotonic_s() - reading.requested_at_s)


def _reading(
    light: tuple[float | None, float | None, float | None],
    flags: tuple[str, ...],
    text: str,
    requested_at_s: float,
    integration_s: float,
) -> Reading:
    return Reading(
        *light,
        integration_s=integration_s,
        requested_at_s=requested_at_s,
        took_s=0.0,
        flags=flags,
        raw=text.encode("utf-8"),
    )


def _capital(sentence: str) -> str:
    return sentence[:1].upper() + sentence[1:]
