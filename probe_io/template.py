"""Literal text with typed holes: how replies are read and commands are written, without regular expressions.

A reply template is scanned once, left to right, without going back, so no reply can make it slow. A blank in the
template stands for one blank or more. Number formats: NR1, NR2 and NR3 of IEEE 488.2 section 8.7.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

KINDS = ("number", "integer", "text", "word", "skip")
BLANKS = " \t"
DIGITS = "0123456789"
LONGEST_NUMBER = 255
"""IEEE 488.2 7.7.2.4.1 lets a device refuse more mantissa digits than this."""

Value = float | int | str


class TemplateFault(ValueError):  # noqa: N818 - a fault in a file, collected with the others
    """The template itself cannot be read."""


class Mismatch(ValueError):  # noqa: N818
    """A reply does not fit its template; ``at`` is the offset of the first character that does not."""

    def __init__(self, wanted: str, at: int, reply: str) -> None:
        found = repr(reply[at : at + 12]) if at < len(reply) else "the end of the reply"
        super().__init__(f"wanted {wanted} at character {at + 1}, found {found}")
        self.at = at


@dataclass(frozen=True, slots=True)
class Hole:
    """A place in a template that a value goes into or comes out of."""

    name: str
    kind: str
    """One of ``KINDS`` in a reply; the number of decimals, or empty, in a command."""


def _split(text: str) -> tuple[str | Hole, ...]:
    parts: list[str | Hole] = []
    literal = ""
    at = 0
    while at < len(text):
        pair = text[at : at + 2]
        if pair in {"{{", "}}"}:
            literal += pair[0]
            at += 2
        elif text[at] == "}":
            raise TemplateFault(f"a lone '}}' at character {at + 1}; write '}}}}' for the character itself")
        elif text[at] == "{":
            end = text.find("}", at)
            if end < 0:
                raise TemplateFault(f"the hole at character {at + 1} has no closing '}}'")
            if literal:
                parts.append(literal)
                literal = ""
            name, _, kind = text[at + 1 : end].partition(":")
            parts.append(Hole(name.strip(), kind.strip()))
            at = end + 1
        else:
            literal += text[at]
            at += 1
    return (*parts, literal) if literal else tuple(parts)


@dataclass(frozen=True, slots=True)
class Template:
    """A reply as literal text with typed holes; made by ``parse_template``."""

    text: str
    parts: tuple[str | Hole, ...]
    decimal: str = "."

    @property
    def holes(self) -> dict[str, str]:
        """Names of the kept holes with their kinds."""
        return {p.name: p.kind for p in self.parts if isinstance(p, Hole) and p.kind != "skip"}

    @property
    def lines(self) -> int:
        """How many lines of reply the template spans."""
        return self.text.count("\n") + 1

    def match(self, reply: str) -> dict[str, Value]:
        """Read the holes out of ``reply``; raises ``Mismatch`` and nothing else."""
        values: dict[str, Value] = {}
        at = 0
        for index, part in enumerate(self.parts):
            if isinstance(part, str):
                at = _literal(part, reply, at)
                continue
            value: Value
            if part.kind in {"number", "integer"}:
                value, at = _number(reply, at, part.kind, self.decimal)
            else:
                following = self.parts[index + 1] if index + 1 < len(self.parts) else ""
                value, at = _words(reply, at, part.kind, following if isinstance(following, str) else "")
            if part.kind != "skip":
                values[part.name] = value
        at = _skip_blanks(reply, at)
        if at < len(reply):
            raise Mismatch("the end of the reply", at, reply)
        return values

    def overlaps(self, other: Template) -> bool:
        """Say whether a usual reply of one fits the other: then nobody can tell the two apart."""
        return any(other.fits(reply) for reply in self._usual()) or any(self.fits(reply) for reply in other._usual())

    def _usual(self) -> tuple[str, ...]:
        made = []
        for number, words in (("1", "1"), ("0", ""), (f"123{self.decimal}4", "A"), ("-1", "A B")):
            fill = {"number": number, "integer": number.split(self.decimal)[0], "word": words or "A"}
            parts = (p if isinstance(p, str) else fill.get(p.kind, words) for p in self.parts)
            made.append("".join(parts))
        return tuple(made)

    def fits(self, reply: str) -> bool:
        """Say whether ``reply`` matches."""
        try:
            self.match(reply)
        except Mismatch:
            return False
        return True


def parse_template(text: str, decimal: str = ".") -> Template:
    """Read a reply template; raises ``TemplateFault`` where a reply could not be told apart."""
    parts = _split(text)
    seen: set[str] = set()
    for index, part in enumerate(parts):
        if isinstance(part, str):
            continue
        if part.kind not in KINDS:
            raise TemplateFault(f"hole {{{part.name}:{part.kind}}}: the kind must be one of {', '.join(KINDS)}")
        if part.kind == "skip" and not part.name:
            pass
        elif not part.name.isidentifier():
            raise TemplateFault(f"hole {{{part.name}:{part.kind}}}: the name must be letters, digits and '_'")
        elif part.name in seen:
            raise TemplateFault(f"hole {{{part.name}}} stands twice")
        seen.add(part.name)
        following = parts[index + 1] if index + 1 < len(parts) else None
        if isinstance(following, Hole):
            raise TemplateFault(f"two holes side by side, {{{part.name}}} and {{{following.name}}}: put text between")
        if part.kind in {"number", "integer"} and following and following[0] in DIGITS + decimal:
            raise TemplateFault(f"{following[0]!r} right after {{{part.name}}} would be read as part of the number")
    if not parts:
        raise TemplateFault("it is empty")
    return Template(text, parts, decimal)


def _skip_blanks(reply: str, at: int) -> int:
    while at < len(reply) and reply[at] in BLANKS:
        at += 1
    return at


def _literal(literal: str, reply: str, at: int) -> int:
    for index, char in enumerate(literal):
        if char in BLANKS:
            if index and literal[index - 1] in BLANKS:
                continue
            after = _skip_blanks(reply, at)
            if after == at:
                raise Mismatch("a blank", at, reply)
            at = after
        elif at < len(reply) and reply[at] == char:
            at += 1
        else:
            raise Mismatch(repr(literal), at, reply)
    return at


def _run_of_digits(reply: str, at: int) -> int:
    while at < len(reply) and reply[at] in DIGITS:
        at += 1
    return at


def _number(reply: str, at: int, kind: str, decimal: str) -> tuple[float | int, int]:
    start = at = _skip_blanks(reply, at)
    if at < len(reply) and reply[at] in "+-":
        at += 1
    whole = at
    at = _run_of_digits(reply, at)
    if kind == "integer":
        if at == whole or at - start > LONGEST_NUMBER:
            raise Mismatch("a whole number", start, reply)
        return int(reply[start:at]), at
    digits = at - whole
    if at < len(reply) and reply[at] == decimal:
        fraction = at + 1
        at = _run_of_digits(reply, fraction)
        digits += at - fraction
    if not digits or at - start > LONGEST_NUMBER:
        raise Mismatch("a number", start, reply)
    if at < len(reply) and reply[at] in "eE":
        exponent = at + 1
        if exponent < len(reply) and reply[exponent] in "+-":
            exponent += 1
        end = _run_of_digits(reply, exponent)
        if end > exponent:
            at = end
    value = float(reply[start:at].replace(decimal, "."))
    if not math.isfinite(value):
        raise Mismatch("a number that a float can hold", start, reply)
    return value, at


def _words(reply: str, at: int, kind: str, following: str) -> tuple[str, int]:
    end = _find(following, reply, at) if following else len(reply.rstrip(BLANKS))
    end = max(end, at)
    found = reply[at:end]
    if kind == "word" and (not found or any(c in BLANKS for c in found)):
        raise Mismatch("one word", at, reply)
    return found, end


def _find(literal: str, reply: str, at: int) -> int:
    """Return where ``literal`` begins at or behind ``at``; linear in the reply's length, whatever both hold."""
    text, places = _one_blank_a_run(reply, at)
    found = text.find(_one_blank_a_run(literal, 0)[0])
    if found < 0:
        raise Mismatch(repr(literal), len(reply), reply)
    return places[found]


def _one_blank_a_run(text: str, start: int) -> tuple[str, list[int]]:
    """Write each run of blanks as one; with it, where each character that is left stood."""
    places = [n for n in range(start, len(text)) if not (n > start and text[n] in BLANKS and text[n - 1] in BLANKS)]
    return "".join(" " if text[n] in BLANKS else text[n] for n in places), places


@dataclass(frozen=True, slots=True)
class Command:
    """What is sent, with holes for values; made by ``parse_command``."""

    text: str
    parts: tuple[str | Hole, ...]

    @property
    def holes(self) -> tuple[str, ...]:
        """Names of the values it needs."""
        return tuple(p.name for p in self.parts if isinstance(p, Hole))

    def fill(self, values: Mapping[str, Value]) -> str:
        """Put the values in; numbers with a '.' whatever the reply uses."""
        written = []
        for part in self.parts:
            if isinstance(part, str):
                written.append(part)
                continue
            value = values[part.name]
            if isinstance(value, str):
                written.append(value)
            elif part.kind:
                written.append(f"{value:.{int(part.kind)}f}")
            else:
                written.append(f"{value:.6g}")
        return "".join(written)


def parse_command(text: str, allowed: tuple[str, ...] | None) -> Command:
    """Read a command; ``allowed`` names the holes that can be filled here, ``None``: any. Raises ``TemplateFault``."""
    parts = _split(text)
    for part in parts:
        if isinstance(part, str):
            continue
        if allowed is not None and part.name not in allowed:
            choice = ", ".join(f"{{{name}}}" for name in allowed) or "none"
            raise TemplateFault(f"hole {{{part.name}}} cannot be filled here; allowed: {choice}")
        if part.kind and (part.kind not in DIGITS or len(part.kind) != 1):
            raise TemplateFault(f"hole {{{part.name}:{part.kind}}}: write the number of decimals, 0 to 9")
    return Command(text, parts)
