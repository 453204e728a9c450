"""Whether an answer is one a question takes."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from panelwear.screen.operator import Question


def check_answer(question: Question, answer: str) -> str:
    """Return the cleaned answer; a choice may be given by its name, its beginning or its number.

    Raises:
        ValueError: with a plain sentence.
    """
    if question.choices:
        answer = _choice(question, answer)
    return question.check(answer) if question.check is not None else answer


def _choice(question: Question, answer: str) -> str:
    choices, names = question.choices, question.names or question.choices
    whole = _called(choices, answer) or _called(names, answer)
    if len(whole) == 1:
        return choices[whole[0]]
    if answer.isdecimal() and 1 <= int(answer) <= len(choices):
        return choices[int(answer) - 1]
    near = [n for n, name in enumerate(names) if answer and name.casefold().startswith(answer.casefold())]
    if len(near) == 1:
        return choices[near[0]]
    raise ValueError(f"'{answer}' is none of: {', '.join(names)}")


def _called(names: Sequence[str], answer: str) -> list[int]:
    return [n for n, name in enumerate(names) if name.casefold() == answer.casefold()]


def number_check(low: float, high: float, unit: str = "", *, whole: bool = False) -> Callable[[str], str]:
    """Make the check of a number within limits, typed with decimal point or comma, with its unit or without.

    Nothing typed is no fault: what is needed says so itself (``Question.needed``).
    """

    def check(text: str) -> str:
        if text == "":
            return ""
        try:
            value = float(text.strip().removesuffix(unit).replace(",", "."))
        except ValueError:
            wanted = f"; type a number of {unit}" if unit else ""
            raise ValueError(f"'{text}' is not a number{wanted}") from None
        if not low <= value <= high:
            raise ValueError(f"{value:g} {unit}".rstrip() + f" is outside {low:g}..{high:g} {unit}".rstrip())
        if whole and value != int(value):
            raise ValueError(f"'{text}' is not a whole number")
        return f"{value:.12g}"

    return check
