"""Whether an answer is one a question takes."""

from __future__ import annotations

from panelwear.screen.operator import Question


def check_answer(question: Question, answer: str) -> str:
    """Return the cleaned answer; a choice may be given by number or by its beginning.

    Raises:
        ValueError: with a plain sentence.
    """
    if question.choices:
        answer = _choice(question.choices, answer)
    return question.check(answer) if question.check is not None else answer


def _choice(choices: tuple[str, ...], answer: str) -> str:
    whole = [choice for choice in choices if choice.casefold() == answer.casefold()]
    if len(whole) == 1:
        return whole[0]
    if answer.isdecimal() and 1 <= int(answer) <= len(choices):
        return choices[int(answer) - 1]
    near = [choice for choice in choices if answer and choice.casefold().startswith(answer.casefold())]
    if len(near) == 1:
        return near[0]
    raise ValueError(f"'{answer}' is none of: {', '.join(choices)}")
