"""A reader of CGATS.17 (ISO 28178) ASCII, written from the grammar of the standard; nothing of the program is used.

The grammar, from memory of ISO 28178:2009, annex on the ASCII format (not looked up): the file is 7 bit ASCII in lines
of 240 characters at most. The first line is an identifier of the file. Words are parted by blanks, tabs and line ends;
a text with blanks stands between quotes, a quote in it twice. ``#`` outside quotes begins a comment that ends with the
line. A header line is a keyword with one value; a keyword that is none of the standard's is announced before, as the
quoted value of ``KEYWORD``, and so is a field of its own. ``NUMBER_OF_FIELDS n`` and ``BEGIN_DATA_FORMAT`` … n names …
``END_DATA_FORMAT`` come before ``NUMBER_OF_SETS m`` and ``BEGIN_DATA`` … m times n values … ``END_DATA``.
"""

from __future__ import annotations

from dataclasses import dataclass

KEYWORDS = {"ORIGINATOR", "DESCRIPTOR", "FILE_DESCRIPTOR", "CREATED", "MANUFACTURER", "PROD_DATE", "SERIAL", "MATERIAL",
            "INSTRUMENTATION", "MEASUREMENT_SOURCE", "PRINT_CONDITIONS", "NUMBER_OF_FIELDS", "NUMBER_OF_SETS",
            "KEYWORD"}  # fmt: skip
TEXTS = {"SAMPLE_NAME", "STRING"}
NUMBERS = {"SAMPLE_ID", "RGB_R", "RGB_G", "RGB_B", "XYZ_X", "XYZ_Y", "XYZ_Z"}
LONGEST_LINE = 240


@dataclass(frozen=True)
class Word:
    """One word of the file."""

    text: str
    is_quoted: bool = False


@dataclass(frozen=True)
class Cgats:
    """A file that was read."""

    identifier: str
    header: dict[str, str]
    announced: list[str]
    fields: list[str]
    sets: list[dict[str, str | float]]


class NotCgats(Exception):  # noqa: N818 - named for what is wrong
    """The file does not follow the grammar."""


def read_cgats(data: bytes) -> Cgats:
    """Read a file; ``NotCgats`` where it does not follow the grammar."""
    try:
        text = data.decode("ascii")
    except UnicodeDecodeError as error:
        raise NotCgats("not 7 bit") from error
    lines = text.replace("\r\n", "\n").split("\n")
    if any(len(line) > LONGEST_LINE for line in lines):
        raise NotCgats("a line is too long")
    if not lines[0] or " " in lines[0].strip():
        raise NotCgats("the first line is no identifier")
    return _Reader(lines[0].strip(), [word for line in lines[1:] for word in _words(line)]).read()


def _words(line: str) -> list[Word]:
    found: list[Word] = []
    at = 0
    while at < len(line):
        if line[at] in " \t":
            at += 1
        elif line[at] == "#":
            break
        elif line[at] == '"':
            text, at = _quoted(line, at + 1)
            found.append(Word(text, True))
        else:
            end = at
            while end < len(line) and line[end] not in ' \t"':
                end += 1
            found.append(Word(line[at:end]))
            at = end
    return found


def _quoted(line: str, at: int) -> tuple[str, int]:
    text = ""
    while at < len(line):
        if line[at] != '"':
            text, at = text + line[at], at + 1
        elif line[at + 1 : at + 2] == '"':
            text, at = text + '"', at + 2
        else:
            return text, at + 1
    raise NotCgats("a quote is not closed in its line")


class _Reader:
    def __init__(self, identifier: str, words: list[Word]) -> None:
        self.identifier, self.words, self.at = identifier, words, 0
        self.header: dict[str, str] = {}
        self.announced: list[str] = []

    def next(self) -> Word:
        if self.at == len(self.words):
            raise NotCgats("the file ends too soon")
        self.at += 1
        return self.words[self.at - 1]

    def until(self, end: str) -> list[Word]:
        found: list[Word] = []
        while (word := self.next()) != Word(end):
            found.append(word)
        return found

    def keywords(self, end: str) -> None:
        while (word := self.next()) != Word(end):
            if word.is_quoted or word.text not in KEYWORDS | {*self.announced}:
                raise NotCgats(f"{word.text!r} is no keyword")
            value = self.next()
            if word.text == "KEYWORD":
                self.announced.append(value.text)
            else:
                self.header[word.text] = value.text

    def read(self) -> Cgats:
        self.keywords("BEGIN_DATA_FORMAT")
        fields = [word.text for word in self.until("END_DATA_FORMAT")]
        self.keywords("BEGIN_DATA")
        values = self.until("END_DATA")
        if self.at != len(self.words):
            raise NotCgats("something stands behind the data")
        if int(self.header["NUMBER_OF_FIELDS"]) != len(fields):
            raise NotCgats("another number of fields than stated")
        if int(self.header["NUMBER_OF_SETS"]) * len(fields) != len(values):
            raise NotCgats("another number of sets than stated")
        if unknown := {*fields} - TEXTS - NUMBERS - {*self.announced}:
            raise NotCgats(f"fields {unknown} are neither the standard's nor announced")
        rows = [values[at : at + len(fields)] for at in range(0, len(values), len(fields))]
        sets = [{f: _value(f, w) for f, w in zip(fields, row, strict=True)} for row in rows]
        return Cgats(self.identifier, self.header, self.announced, fields, sets)


def _value(field: str, word: Word) -> str | float:
    if field in TEXTS:
        return word.text
    if word.is_quoted or not set(word.text) <= set("+-.0123456789"):
        raise NotCgats(f"{field}: {word.text!r} is no number")
    return float(word.text)
