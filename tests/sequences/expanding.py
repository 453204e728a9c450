"""What the tests of expansion share: a sequence of a few groups, and the patches of its steps."""

from __future__ import annotations

from dataclasses import fields

from sequences.model import Read, Step
from sequences.reader import parse
from sequences.schema import HOLD_GROUPS, READ_GROUPS, Sequence

HEAD = 'name = "x"\ndescription = "d"\n'
REFERENCE = "[reference]\nevery = 2\n"
GROUP_KEYS = sorted({f.name for cls in {*READ_GROUPS.values(), *HOLD_GROUPS.values()} for f in fields(cls)})
"""Every key a patch group may have in one group or another."""


def sequence(groups: str, head: str = "") -> Sequence:
    return parse(f'{HEAD}{head}[[steps]]\nkind = "read"\n{groups}')


def group(text: str) -> str:
    return "[[steps.patches]]\n" + text.replace("; ", "\n") + "\n"


def reads(steps: tuple[Step, ...]) -> list[Read]:
    return [step for step in steps if isinstance(step, Read)]


def keys(steps: tuple[Step, ...]) -> list[str]:
    return [step.patch.key for step in reads(steps)]
