"""A person's own table of usage: a CSV whose columns are those of docs/usage.md. All faults at once, by line."""

from __future__ import annotations

import csv
import io
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import groupby

from groundwork.documents import printable
from groundwork.tables import nearest
from panelwear.errors import FileFault
from panelwear.usage.amounts import Amount, amount_reader
from panelwear.usage.records import ALWAYS, Content, Stretch, day_of
from panelwear.usage.stretches import days_between
from panelwear.usage.typed import SHARE, Typed, content_of, since_check, stretch_of, typed

COLUMNS = (
    "date", "until", "hours_a_day", "hours", "days_a_week", "white_cd_m2", "peak_share", "zone", "shows", "share",
    "note",
)  # fmt: skip
"""All that may be there, in any order; only ``date`` is needed."""
MOST_ROWS = 4_000
LARGEST = 4_000_000
"""Bytes of the largest table that is read."""
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


def read_table(data: bytes, name: str, zones: Collection[str], checkpoints: Collection[str]) -> tuple[Stretch, ...]:
    """Read a table into stretches, by day.

    Lines of the same ``date`` and ``until`` are one stretch: one line a zone. ``hours`` are those between a line's date
    and its ``until``, else the next line's date.

    Raises:
        FileFault: every fault, each with its line.
    """
    rows = [_row(line, texts, zones, checkpoints) for line, texts in _lines(data, name)]
    each = [(row.line, *fault) for row in rows for fault in (*row.found.faults, *row.more)]
    if each:
        raise FileFault(tuple(_said(name, *fault) for fault in sorted(each, key=lambda one: one[0])))
    groups = [list(group) for _, group in groupby(rows, key=lambda row: row.key)]
    made: list[Stretch] = []
    faults: list[tuple[int, str, str]] = []
    for n, group in enumerate(groups):
        after = groups[n + 1][0].found.values.get("since", "") if n + 1 < len(groups) else ""
        stretch = _stretch(group, after, faults)
        if stretch is not None:
            made.append(stretch)
    if faults:
        raise FileFault(tuple(_said(name, *fault) for fault in faults))
    return tuple(_joined(made))


def _said(name: str, line: int, key: str, sentence: str) -> str:
    where = f"{name}: line {line}" + (f", {key}" if key else "")
    return printable(f"{where}: {sentence}")


def _lines(data: bytes, name: str) -> Iterator[tuple[int, dict[str, str]]]:
    """Yield each line that is not empty, by column."""
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise FileFault((_said(name, line, "", "is not UTF-8; save the table as CSV in UTF-8"),)) from None
    if "\0" in text:
        line = text[: text.index("\0")].count("\n") + 1
        raise FileFault((_said(name, line, "", "holds a NUL byte; this is no text"),))
    head = text.lstrip().partition("\n")[0]
    parted = max(";,\t", key=head.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=parted, strict=True)
    rows = []
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                rows.append((reader.line_num, [cell.strip() for cell in cells]))
            if len(rows) > MOST_ROWS + 1:
                raise FileFault((_said(name, reader.line_num, "", f"more than {MOST_ROWS} lines are not read"),))
    except csv.Error as error:
        raise FileFault((_said(name, reader.line_num, "", f"is no line of a CSV ({error})"),)) from None
    if len(rows) < 2:
        raise FileFault((f"{name}: holds no lines below a head of column names ({', '.join(COLUMNS)})",))
    names = [cell.casefold() for cell in rows[0][1]]
    _refuse_head(names, rows[0][0], name)
    wrong = [(line, len(cells)) for line, cells in rows[1:] if len(cells) > len(names)]
    if wrong:
        raise FileFault(
            tuple(_said(name, line, "", f"has {n} cells, the head {len(names)} columns") for line, n in wrong)
        )
    for line, cells in rows[1:]:
        yield line, dict(zip(names, cells, strict=False))


def _refuse_head(names: Sequence[str], line: int, name: str) -> None:
    said = [f"'{one}' is no column; {nearest(one, COLUMNS)}" for one in names if one and one not in COLUMNS]
    said += [f"'{one}' stands twice" for one in COLUMNS if names.count(one) > 1]
    said += [] if "date" in names else ["there is no column 'date'"]
    if said:
        raise FileFault(tuple(_said(name, line, "", sentence) for sentence in said))


def _row(line: int, texts: dict[str, str], zones: Collection[str], checkpoints: Collection[str]) -> _Row:
    found = typed({**texts, "since": texts.get("date", "")})
    row = _Row(line, texts, found)
    date = texts.get("date", "")
    if not date:
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
        if share:
            row.content = tuple(replace(one, share=SHARE(share)) for one in row.content)
    except ValueError as error:
        row.more.append(("shows", str(error)))
        return
    if share and len(row.content) > 1:
        row.more.append(("share", "stands beside several kinds; write each kind's own share behind it"))


def _stretch(group: list[_Row], after: str, faults: list[tuple[int, str, str]]) -> Stretch | None:
    """Make one stretch of its lines; what two of them tell differently is a fault."""
    together = Typed()
    hours: Amount | None = None
    for row in group:
        for key, value in row.found.values.items():
            if together.values.setdefault(key, value) != value:
                faults.append((row.line, key, "differs from what another line of the same stretch tells"))
        if row.hours is not None and hours not in (None, row.hours):
            faults.append((row.line, "hours", "differs from what another line of the same stretch tells"))
        hours = hours or row.hours
    if hours is not None:
        _spread(together, hours, after)
    made = stretch_of(together, tuple(one for row in group for one in row.content))
    faults += [(group[0].line, key, sentence) for key, sentence in together.faults]
    return made


def _spread(together: Typed, hours: Amount, after: str) -> None:
    """Turn hours between two days into hours a day, and end the stretch there."""
    since, until = together.values.get("since", ""), together.values.get("until", "") or after
    if day_of(since) is None or day_of(until) is None:
        together.faults.append(("hours", "need two days: a date, and until or the next line's date; else hours_a_day"))
        return
    days = days_between(since, until)
    if days <= 0:
        together.faults.append(("date", f"{until} is not later than {since}; lines go from early to late"))
    elif hours.high > 24 * days:
        together.faults.append(("hours", f"{hours.words('h')} do not go into {days} days of 24 h"))
    else:
        together.values |= {"until": until, "hours_a_day": hours.times(1 / days)}


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
