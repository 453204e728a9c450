"""What stands in a report: plain records that know neither where their numbers come from nor how they are laid out."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Literal

from panelwear.compare.headline import Weight

Style = Literal[
    "white", "red", "green", "blue", "first", "last", "zone-1", "zone-2", "zone-3", "zone-4", "zone-5", "zone-6"
]
"""What a series stands for; each has its own colour, marker and line, so that colour alone never tells."""


@dataclass(frozen=True, slots=True)
class TableColumn:
    """Head of a table's column."""

    name: str
    is_number: bool = False
    """Numbers are set flush right with tabular figures."""


def text(name: str) -> TableColumn:
    """Make the head of a column of words."""
    return TableColumn(name)


def number(name: str) -> TableColumn:
    """Make the head of a column of numbers."""
    return TableColumn(name, True)


@dataclass(frozen=True, slots=True)
class ReportTable:
    """A table of words and numbers, all of them already written out with units and uncertainty."""

    caption: str
    columns: tuple[TableColumn, ...]
    rows: tuple[tuple[str, ...], ...]
    note: str = ""


@dataclass(frozen=True, slots=True)
class Axis:
    """One axis of a chart."""

    label: str
    """With its unit in brackets."""
    is_log: bool = False
    ticks: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class ChartPoint:
    """One value with its 95 % interval; ``told`` is how it stands in the table."""

    x: float
    y: float
    low: float = math.nan
    high: float = math.nan
    told: str = ""
    x_told: str = ""
    """How ``x`` stands in the table where that is no number, such as a range."""


@dataclass(frozen=True, slots=True)
class ChartSeries:
    """Points that belong together."""

    name: str
    style: Style
    points: tuple[ChartPoint, ...]


@dataclass(frozen=True, slots=True)
class LineChart:
    """Values against a quantity."""

    x: Axis
    y: Axis
    series: tuple[ChartSeries, ...]
    level: float | None = None
    """A thin line to read against: no change, the value when new."""
    joined: bool = True
    cuts: tuple[tuple[float, str], ...] = ()
    """Upright lines with a word each: a compensation cycle."""
    dodge: bool = False
    """Whether series at the same x are set a little apart, so that their intervals do not hide each other."""


@dataclass(frozen=True, slots=True)
class PlanePoint:
    """A point of the u'v' plane with its uncertainty ellipse (semi-axes vectors of the 95 % region)."""

    name: str
    u: float
    v: float
    axes: tuple[tuple[float, float], tuple[float, float]] = ((0.0, 0.0), (0.0, 0.0))


@dataclass(frozen=True, slots=True)
class PlaneChart:
    """The way of the white point in the u'v' plane."""

    points: tuple[PlanePoint, ...]
    circles: tuple[tuple[float, str], ...]
    """Radius and word of circles round the first point."""
    landmarks: tuple[PlanePoint, ...] = ()


@dataclass(frozen=True, slots=True)
class MapSpot:
    """A value at one place of the panel, in millimetres from its top left corner."""

    name: str
    x_mm: float
    y_mm: float
    value: float
    told: str


@dataclass(frozen=True, slots=True)
class Area:
    """A rectangle of the panel in millimetres from its top left corner; ``value`` is ``nan`` where none was found."""

    name: str
    x_mm: float
    y_mm: float
    w_mm: float
    h_mm: float
    value: float = math.nan
    told: str = ""


@dataclass(frozen=True, slots=True)
class Drawn:
    """A mark somebody drew: a rectangle's opposite corners or a line's two ends, in millimetres."""

    name: str
    is_line: bool
    x0_mm: float
    y0_mm: float
    x1_mm: float
    y1_mm: float


@dataclass(frozen=True, slots=True)
class MapChart:
    """Values on the panel's outline."""

    width_mm: float
    height_mm: float
    unit: str
    limit: float
    """Full colour stands for this value either way."""
    spots: tuple[MapSpot, ...] = ()
    areas: tuple[Area, ...] = ()
    marks: tuple[Drawn, ...] = ()


@dataclass(frozen=True, slots=True)
class StripChart:
    """The same outline at several checkpoints; all maps have one limit, and its scale is drawn once."""

    maps: tuple[tuple[str, MapChart, str], ...]
    """Title, map and the words below it of each, oldest first."""
    columns: int = 6
    """How many stand beside each other."""


Chart = LineChart | PlaneChart | MapChart | StripChart


@dataclass(frozen=True, slots=True)
class Picture:
    """A chart with what those who cannot see it need."""

    key: str
    """Short word, unique in the report."""
    title: str
    alt: str
    chart: Chart
    table: ReportTable
    note: str = ""


@dataclass(frozen=True, slots=True)
class PhotoPicture:
    """A picture made of pixels, such as maps in a row; it stands on the page as it is."""

    key: str
    title: str
    alt: str
    data: bytes = field(repr=False)
    media_type: str = "image/png"
    note: str = ""
    still: bytes = field(default=b"", repr=False)
    """A PNG for those who want nothing to move, where it moves."""


@dataclass(frozen=True, slots=True)
class Told:
    """One number in words with what is to be thought of it."""

    when: str
    value: str
    interval: str = ""
    """From the ± on."""
    verdict: str = ""
    weight: Weight = "open"


@dataclass(frozen=True, slots=True)
class BigNumber:
    """One of the numbers on the first screen."""

    title: str
    main: Told
    last: Told | None = None
    """Since last time."""
    beside: str = ""


@dataclass(frozen=True, slots=True)
class Opening:
    """The first screen: the panel's outline, a few large numbers, what must be kept in mind, and the strip below."""

    numbers: tuple[BigNumber, ...] = ()
    outline: Picture | None = None
    caveats: tuple[str, ...] = ()
    strip: Picture | None = None


@dataclass(frozen=True, slots=True)
class ChangeRow:
    """One line of a change table."""

    figure: str
    before: str
    after: str
    step: str
    verdict: str
    """``changed``, ``no change larger than 0.4 %`` or ``undecided``."""
    detail: str = ""
    is_under: bool = False
    """Whether it only tells more of the line above it."""
    weight: Weight = "open"
    key: str = ""
    """The figure's own name, the same in every table."""


@dataclass(frozen=True, slots=True)
class ChangeTable:
    """What changed between two checkpoints."""

    caption: str
    rows: tuple[ChangeRow, ...]
    note: str = ""


@dataclass(frozen=True, slots=True)
class Section:
    """A part of the report under a heading."""

    key: str
    title: str
    lead: tuple[str, ...] = ()
    changes: tuple[ChangeTable, ...] = ()
    pictures: tuple[Picture, ...] = ()
    photos: tuple[PhotoPicture, ...] = ()
    tables: tuple[ReportTable, ...] = ()
    folded: tuple[ReportTable, ...] = ()
    """Tables that are there for those who look for them."""
    points: tuple[str, ...] = ()
    """Sentences set as a list."""

    @property
    def is_folded(self) -> bool:
        """Whether there is nothing in it but folded tables, which are not printed."""
        return not (self.lead or self.changes or self.pictures or self.photos or self.tables or self.points)


@dataclass(frozen=True, slots=True)
class Download:
    """A file inside the report."""

    name: str
    said: str
    media_type: str
    data: bytes = field(repr=False)


@dataclass(frozen=True, slots=True)
class Report:
    """Everything that stands in one report."""

    panel: str
    subtitle: str
    facts: tuple[tuple[str, str], ...]
    """Name and value of what must be known of panel and probe."""
    verdict: tuple[str, ...]
    """Three sentences."""
    opening: Opening = Opening()
    banner: str = ""
    """What must be read first: that the numbers are invented."""
    faults: tuple[str, ...] = ()
    """What must be read before that: which stored files are not as they were written."""
    sections: tuple[Section, ...] = ()
    downloads: tuple[Download, ...] = ()
    software: str = ""

    @property
    def pictures(self) -> tuple[Picture, ...]:
        """All pictures in the order they stand in."""
        first = tuple(p for p in (self.opening.outline, self.opening.strip) if p is not None)
        return first + tuple(p for section in self.sections for p in section.pictures)
