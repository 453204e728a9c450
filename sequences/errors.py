"""The errors of the sequences package (one tree: ``SequenceError``)."""

from __future__ import annotations


class SequenceError(ValueError):
    """A sequence file has faults; ``problems`` lists every one as "file: key: what is wrong, what is allowed"."""

    def __init__(self, problems: tuple[str, ...]) -> None:
        super().__init__("; ".join(problems))
        self.problems = problems
