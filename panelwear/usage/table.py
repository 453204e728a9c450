"""A person's own table of usage: a CSV whose columns are those of docs/usage.md. All faults at once, by line."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise, zip_longest

from groundwork.documents import printable
from groundwork.tables import nearest
from panelwear.errors import FileFault
from panelwear.telling.words import counted
from panelwear.usage.amounts import Amount, amount_reader
from panelwear.usage.records import ALWAYS, Content, Stretch, day_meant, out_of_order
from panelwear.usage.typed import SHARE, Typed, content_of, since_check, stretch_of, typed

COLUMNS = (
    "date", "until", "hours_a_day", "hours", "days_a_week", "white_cd_m2", "peak_share", "zone", "shows", "share",
    "note",
)  # fmt: skip
"""All that may be there, in any order; only ``date`` is needed."""
COLUMN_NAMES = f"column names ({', '.join(COLUMNS)})"
MOST_ROWS = 4_000
LARGEST = 4_000_000
"""Bytes of the largest table that is read."""
_STATED = re.compile(r"sep=([;,])")
"""A line that some spreadsheets put before the head, to tell what parts the cells."""
_HOURS = amount_reader(0, 1e6, "h")


@dataclass(slots=True)
class _Row:
    """One line, with its faults."""

    line: int
    texts: Mapping[str, str]
    found: Typed
    content: tuple[Content, ...] = ()
    hours: Amount | None = None
    more: list[tuple[str, str]] = field(default_factory=list)

    @property
    def key(self) -> tuple[str, str]:
        """Lines of one stretch have the same."""
        return self.found.values.get("since", ""), self.found.values.get("until", "")


@dataclass(slots=True)
class _Faults:
    """Every fault of one table, by line."""

    name: str
    noted: list[tuple[int, str, str]] = field(default_factory=list)

    def note(self, line: int, key: str, sentence: str) -> None:
        """Add a fault of a line, and of a column of it where one has it."""
        self.noted.append((line, key, sentence))

    def refuse(self) -> None:
        """Raise ``FileFault`` with all of them, where there are any."""
        if self.noted:
            raise FileFault(tuple(self._said(*one) for one in sorted(self.noted, key=lambda one: one[0])))

    def stop(self, line: int, sentence: str) -> FileFault:
        """Return the fault behind which nothing can be read."""
        return FileFault((self._said(line, "", sentence),))

    def _said(self, line: int, key: str, sentence: str) -> str:
        where = f"{self.name}: line {line}" + (f", {key}" if key else "")
        return printable(f"{where}: {sentence}")


def read_table(data: bytes, name: str, zones: Collection[str], days: Mapping[str, str]) -> tuple[Stretch, ...]:
    """Read a table into stretches, by day.

    Lines of the same ``date`` and ``until`` are one stretch: one line a zone. ``hours`` are those between a line's date
    and its ``until``, else the next line's date.

    Args:
        data: the file.
        name: what it is called.
        zones: names of the panel's zones.
        days: day on which each checkpoint was begun, by its name.

    Raises:
        FileFault: every fault, each with its line.
    """
    faults = _Faults(name)
    rows = [_row(line, texts, zones, days) for line, texts in _lines(data, faults)]
    for row in rows:
        for key, sentence in (*row.found.faults, *row.more):
            faults.note(row.line, key, sentence)
    by_key: dict[tuple[str, str], list[_Row]] = {}
    for row in rows:
        by_key.setdefault(row.key, []).append(row)
    groups = [_Group(group, days) for group in by_key.values()]
    made: list[Stretch] = []
    for group, after in zip_longest(groups, groups[1:]):
        stretch = group.stretch("" if after is None else after.since, faults)
        if stretch is not None:
            made.append(stretch)
    for before, group in pairwise(groups):
        if before.hidden_by(group):
            sentence = (
                f"is earlier than line {before.line}'s and would hide what that tells; lines go from early to late"
            )
            faults.note(group.line, "date", sentence)
    faults.refuse()
    return tuple(_joined(made))


def _lines(data: bytes, faults: _Faults) -> Iterator[tuple[int, dict[str, str]]]:
    """Yield each line that is not empty, by column."""
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise faults.stop(line, "is not UTF-8; save the table as CSV in UTF-8") from None
    if "\0" in text:
        raise faults.stop(text[: text.index("\0")].count("\n") + 1, "holds a NUL byte; this is no text")
    rows = _parted(text, faults)
    if len(rows) < 2:
        raise FileFault((printable(f"{faults.name}: holds no lines below a head of {COLUMN_NAMES}"),))
    names = [cell.casefold() for cell in rows[0][1]]
    for sentence in _head_faults(names):
        faults.note(rows[0][0], "", sentence)
    unnamed = {place for place, one in enumerate(names) if not one}
    for line, cells in rows[1:]:
        if any(cells[place] for place in unnamed if place < len(cells)):
            faults.note(line, "", "has a cell in a column without a name; name the column in the head, or empty it")
        if len(cells) > len(names):
            faults.note(line, "", f"has {len(cells)} cells, the head {len(names)} columns")
        yield line, dict(zip(names, cells, strict=False))


def _parted(text: str, faults: _Faults) -> list[tuple[int, list[str]]]:
    """Part a table into cells, each line with its number; the mark that parts is the head's most frequent."""
    head = text.lstrip().partition("\n")[0]
    stated = _STATED.fullmatch(head.strip())
    parted = stated.group(1) if stated else max(";,\t", key=head.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=parted, strict=True)
    rows: list[tuple[int, list[str]]] = []
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells) and not (stated and not rows and cells[0].startswith("sep=")):
                rows.append((reader.line_num, [cell.strip() for cell in cells]))
            if len(rows) > MOST_ROWS + 1:
                raise faults.stop(reader.line_num, f"more than {MOST_ROWS} lines are not read")
    except csv.Error as error:
        raise faults.stop(reader.line_num, f"is no line of a CSV ({error})") from None
    return rows


def _head_faults(names: Sequence[str]) -> Iterator[str]:
    for one in names:
        if one and one not in COLUMNS:
            yield f"'{one}' is no column; {nearest(one, COLUMNS)}"
    for one in COLUMNS:
        if names.count(one) > 1:
            yield f"'{one}' stands twice"
    if "date" not in names:
        yield "there is no column 'date'"


def _row(line: int, texts: Mapping[str, str], zones: Collection[str], checkpoints: Collection[str]) -> _Row:
    found = typed({**texts, "since": texts.get("date", "")})
    row = _Row(line, texts, found)
    date = texts.get("date", "")
    if not date and "date" in texts:
        row.more.append(("date", f"is empty; write a day such as 2026-02-03, a checkpoint's name or '{ALWAYS}'"))
    for key, text in (("date", date), ("until", texts.get("until", ""))):
        try:
            since_check(text, checkpoints, always=key == "date")
        except ValueError as error:
            row.more.append((key, str(error)))
    _read_content(row, zones)
    if hours := texts.get("hours", ""):
        if texts.get("hours_a_day") or texts.get("days_a_week"):
            row.more.append(("hours", "stands beside hours_a_day or days_a_week; one of them tells the use"))
        try:
            row.hours = _HOURS(hours)
        except ValueError as error:
            row.more.append(("hours", str(error)))
    return row


def _read_content(row: _Row, zones: Collection[str]) -> None:
    zone, shows, share = (row.texts.get(key, "") for key in ("zone", "shows", "share"))
    if zone and zone not in zones:
        meant = nearest(zone, zones, "there are:") if zones else "the panel has none"
        row.more.append(("zone", f"'{zone}' is no zone of panel.toml; {meant}"))
    if (zone or share) and not shows:
        row.more.append(("shows", "is empty; it says what is shown there"))
        return
    if not shows:
        return
    try:
        row.content = content_of(shows, zone)
    except ValueError as error:
        row.more.append(("shows", str(error)))
    try:
        row.content = tuple(replace(one, share=SHARE(share)) for one in row.content) if share else row.content
    except ValueError as error:
        row.more.append(("share", str(error)))
    if share and len(row.content) > 1:
        row.more.append(("share", "stands beside several kinds; write each kind's own share behind it"))


@dataclass(frozen=True, slots=True)
class _Group:
    """Lines of one stretch."""

    rows: list[_Row]
    days: Mapping[str, str]

    @property
    def line(self) -> int:
        """Number of the first one."""
        return self.rows[0].line

    @property
    def since(self) -> str:
        """When it begins."""
        return self.rows[0].key[0]

    @property
    def sound(self) -> bool:
        """Whether no line has a fault of its own."""
        return not any(row.found.faults or row.more for row in self.rows)

    def stretch(self, after: str, faults: _Faults) -> Stretch | None:
        """Make one stretch of the lines; what two of them tell differently is a fault.

        Args:
            after: when the next one begins; empty: there is none.
            faults: where they are noted.
        """
        if not self.sound:
            return None
        together, hours = Typed(), None
        for row in self.rows:
            for key, value in row.found.values.items():
                if together.values.setdefault(key, value) != value:
                    faults.note(row.line, key, "differs from what another line of the same stretch tells")
            if row.hours is not None and hours not in (None, row.hours):
                faults.note(row.line, "hours", "differs from what another line of the same stretch tells")
            hours = hours or row.hours
        if hours is not None:
            self._spread(together, hours, after)
        made = stretch_of(together, tuple(one for row in self.rows for one in row.content), self.days)
        for key, sentence in together.faults:
            faults.note(self.line, key, sentence)
        return made

    def _spread(self, together: Typed, hours: Amount, after: str) -> None:
        """Turn hours between two days into hours a day, and end the stretch there."""
        until = self.rows[0].key[1] or after
        begin, end = (day_meant(text, self.days) for text in (self.since, until))
        if begin is None or end is None:
            wanted = "need two days or checkpoints: a date, and until or the next line's date; else hours_a_day"
            together.faults.append(("hours", wanted))
            return
        days = (end - begin).days
        if days <= 0:
            sentence = f"{out_of_order(self.since, until, self.days)}; lines go from early to late"
            together.faults.append(("date", sentence))
        elif hours.high > 24 * days:
            together.faults.append(("hours", f"{hours.words('h')} do not go into {counted(days, 'day')} of 24 h"))
        else:
            together.values |= {"until": until, "hours_a_day": hours.times(1 / days)}

    def hidden_by(self, later: _Group) -> bool:
        """Tell whether a later line without an end begins earlier, and tells anew what this one tells."""
        begin, other = day_meant(self.since, self.days), day_meant(later.since, self.days)
        # "always" is on purpose: nobody keeps a log from late to early with it.
        if begin is None or other is None or later.rows[0].key[1] or not other < begin:
            return False
        if any(row.hours is not None for row in self.rows):
            return False  # it is said of the hours, which end where the later line begins
        return bool(self._told() & later._told())

    def _told(self) -> set[str]:
        keys = {key for row in self.rows for key in row.found.values} - {"since", "until", "note"}
        return keys | {f"zone {one.zone}" for row in self.rows for one in row.content}


def _joined(made: Sequence[Stretch]) -> Iterator[Stretch]:
    """Yield stretches; what follows at once and says the same makes the one before longer."""
    last: Stretch | None = None
    for one in made:
        if (
            last is not None
            and last.until == one.since
            and replace(last, since="", until="") == replace(one, since="", until="")
        ):
            last = replace(last, until=one.until)
            continue
        if last is not None:
            yield last
        last = one
    if last is not None:
        yield last
