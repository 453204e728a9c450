"""What the tests of expansion share: a sequence of a few groups, and the patches of its steps."""

from __future__ import annotations

from sequences.model import Read, Step
from sequences.reader import parse
from sequences.schema import Sequence

HEAD = 'name = "x"\ndescription = "d"\n'
REFERENCE = "[reference]\nevery = 2\n"


def sequence(groups: str, head: str = "") -> Sequence:
    return parse(f'{HEAD}{head}[[steps]]\nkind = "read"\n{groups}')


def group(text: str) -> str:
    return "[[steps.patches]]\n" + text.replace("; ", "\n") + "\n"


def reads(steps: tuple[Step, ...]) -> list[Read]:
    return [step for step in steps if isinstance(step, Read)]


def keys(steps: tuple[Step, ...]) -> list[str]:
    return [step.patch.key for step in reads(steps)]
