"""The error of the patterns package (one tree: ``PatternError``)."""


class PatternError(ValueError):
    """A pattern was asked for with parameters it cannot have; the message says what is allowed."""
