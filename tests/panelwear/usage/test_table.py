"""A person's own table of usage."""

from __future__ import annotations

import pytest

from groundwork.tables import nearest
from panelwear.errors import FileFault
from panelwear.usage.amounts import Amount
from panelwear.usage.records import Content, Stretch
from panelwear.usage.table import COLUMNS, read_table
from panelwear.usage.words import stretch_words

DAYS = {"2026-02-03-h1460": "2026-02-03", "2026-04-14-h2300": "2026-04-14", "lost": ""}


def read(text: str | bytes) -> tuple[Stretch, ...]:
    data = text if isinstance(text, bytes) else text.encode()
    return read_table(data, "own.csv", ["chart", "list"], DAYS)


def faults(text: str | bytes) -> tuple[str, ...]:
    with pytest.raises(FileFault) as caught:
        read(text)
    return caught.value.problems


def test_a_table_of_a_few_lines() -> None:
    found = read(
        "date,until,hours_a_day,white_cd_m2,zone,shows,share\r\n"
        "always,,7-9,120,list,white,90%\r\n"
        'always,,,,chart,"mid 50 %, dark 50 %",\r\n'
        "2026-02-03-h1460,,,80,,,\r\n"
    )
    content = (Content("list", Amount(0.9, 0.9), "white"), Content("chart", Amount(0.5, 0.5), "mid"),
               Content("chart", Amount(0.5, 0.5), "dark"))  # fmt: skip
    assert found == (
        Stretch("always", hours_a_day=Amount(7, 9), white_cd_m2=Amount(120, 120), content=content),
        Stretch("2026-02-03-h1460", white_cd_m2=Amount(80, 80)),
    )


def test_semicolons_decimal_commas_and_a_mark_in_front() -> None:
    found = read("\ufeffDate;Hours_a_day;note\n2026-01-05;7,5;half days\n\n2026-02-05;8;\n".encode())
    assert found == (
        Stretch("2026-01-05", hours_a_day=Amount(7.5, 7.5), note="half days"),
        Stretch("2026-02-05", hours_a_day=Amount(8, 8)),
    )


def test_lines_of_one_stretch_need_not_stand_together() -> None:
    found = read("date,zone,shows\nalways,list,white\n2026-01-05,list,dark\nalways,chart,mid\n")
    whole = (Content("list", shows="white"), Content("chart", shows="mid"))
    assert found == (Stretch("always", content=whole), Stretch("2026-01-05", content=(Content("list", shows="dark"),)))


@pytest.mark.parametrize("mark", [";", ","])
def test_a_line_that_states_what_parts_the_cells_is_no_head(mark: str) -> None:
    text = f"sep={mark}\ndate{mark}hours_a_day\n2026-01-05{mark}30\n"
    assert faults(text) == ("own.csv: line 3, hours_a_day: 30 is out of range; allowed: 0 to 24 h",)
    assert read(text.replace("30", "3")) == (Stretch("2026-01-05", hours_a_day=Amount(3, 3)),)


def test_hours_of_a_log_become_hours_a_day_and_like_days_one_stretch() -> None:
    days = "\n".join(f"2026-01-{day:02d},{hours}" for day, hours in ((5, 8), (6, 8), (7, 4), (9, "")))
    found = read(f"date,hours\n{days}\n")
    assert found == (
        Stretch("2026-01-05", "2026-01-07", hours_a_day=Amount(8, 8)),
        Stretch("2026-01-07", "2026-01-09", hours_a_day=Amount(2, 2)),
        Stretch("2026-01-09"),
    )


def test_hours_of_a_log_go_from_checkpoint_to_checkpoint() -> None:
    (one, *others) = read("date,hours\n2026-02-03-h1460,700\n2026-04-14-h2300,\n")
    assert one == Stretch("2026-02-03-h1460", "2026-04-14-h2300", hours_a_day=Amount(10, 10))  # 70 days
    assert others == [Stretch("2026-04-14-h2300")]
    (one,) = read("date,until,hours\n2026-02-03-h1460,2026-03-01,100\n")
    assert stretch_words(one).use == "3.85 h a day"  # 100 h in 26 days: 3.8461538...
    assert one.hours_a_day == Amount(100 / 26, 100 / 26)


@pytest.mark.parametrize(("hours", "said"), [(10.25, "10.25"), (11.904761, "11.9"), (8.0, "8"), (0.00416, "0.0042")])
def test_hours_a_day_are_said_to_the_minute(hours: float, said: str) -> None:
    assert stretch_words(Stretch("always", hours_a_day=Amount(hours, hours))).use == f"{said} h a day"


def test_what_is_wrong_with_the_head_hides_no_other_fault() -> None:
    said = faults(
        "date,colour,hours_a_day,,hours\n2026-01-05,red,30,x,\n2026-13-05,,8,,\n2026-02-01,,,,9000\n2026-02-02\n"
    )
    assert [one.partition(": ")[2] for one in said] == [
        f"line 1: 'colour' is no column; {nearest('colour', COLUMNS)}",
        "line 2: has a cell in a column without a name; name the column in the head, or empty it",
        "line 2, hours_a_day: 30 is out of range; allowed: 0 to 24 h",
        "line 3, date: '2026-13-05' is neither a day such as 2026-02-03 nor a checkpoint's name or 'always'",
        "line 4, hours: 9000 h do not go into 1 day of 24 h",
    ]
    assert faults("hours_a_day\n30\n") == (
        "own.csv: line 1: there is no column 'date'",
        "own.csv: line 2, hours_a_day: 30 is out of range; allowed: 0 to 24 h",
    )


def test_a_table_from_late_to_early_hides_nothing_in_silence() -> None:
    assert faults("date,white_cd_m2\n2026-03-01,80\n2026-01-01,120\n") == (
        "own.csv: line 3, date: is earlier than line 2's and would hide what that tells; lines go from early to late",
    )
    # What tells another thing hides nothing, nor does what ends.
    assert len(read("date,until,white_cd_m2,hours_a_day\n2026-03-01,,80,\n2026-01-01,,,8\n")) == 2
    assert len(read("date,until,white_cd_m2\n2026-03-01,,80\n2026-01-01,2026-02-01,120\n")) == 2


def test_every_fault_has_its_line() -> None:
    said = faults(
        "date,hours_a_day,white_cd_m2,zone,shows,share,hours\n"
        "2026-13-01,8,,,,,\n"
        ",8,,,,,\n"
        "2026-01-05,30,abc,chrt,whit,,\n"
        "2026-01-06,8,,list,,0.5,9\n"
        "2026-01-07,,,list,white,150%,\n"
    )
    assert said == (
        "own.csv: line 2, date: '2026-13-01' is neither a day such as 2026-02-03 nor a checkpoint's name or 'always'",
        "own.csv: line 3, date: is empty; write a day such as 2026-02-03, a checkpoint's name or 'always'",
        "own.csv: line 4, hours_a_day: 30 is out of range; allowed: 0 to 24 h",
        "own.csv: line 4, white_cd_m2: 'abc' is not a number or a range such as 7-9, in cd/m²",
        "own.csv: line 4, zone: 'chrt' is no zone of panel.toml; did you mean 'chart'?",
        said[5],
        "own.csv: line 5, shows: is empty; it says what is shown there",
        "own.csv: line 5, hours: stands beside hours_a_day or days_a_week; one of them tells the use",
        "own.csv: line 6, share: 1.5 is out of range; allowed: 0 to 1",
    )
    assert said[5].startswith("own.csv: line 4, shows: 'whit': did you mean 'white'?")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "holds no lines below a head"),
        ("date\n", "holds no lines below a head"),
        ("day,hours\n2026-01-01,3\n", "line 1: 'day' is no column"),
        ("hours\n3\n", "line 1: there is no column 'date'"),
        ("date,date\n2026-01-01,3\n", "line 1: 'date' stands twice"),
        ("date,hours\n2026-01-01,3,4\n", "line 2: has 3 cells, the head 2 columns"),
        ('date,note\n2026-01-01,"never ended\n', "is no line of a CSV"),
        (b"date,note\n2026-01-01,\xff\xfe\n", "line 2: is not UTF-8"),
        ("date,note\n2026-01-01,a\0b\n", "line 2: holds a NUL byte"),
        ("date,hours\n2026-01-01,300\n2026-01-02,\n", "line 2, hours: 300 h do not go into 1 day of 24 h"),
        ("date,hours\n2026-01-05,3\n2026-01-02,\n", "line 2, date: 2026-01-02 is not later than 2026-01-05"),
        ("date,hours\n2026-01-01,3\n", "line 2, hours: need two days"),
        ("date,hours\nalways,3\n", "line 2, hours: need two days or checkpoints"),
        ("date,hours,until\n2026-02-03-h1460,3,lost\n", "line 2, hours: need two days or checkpoints"),
        ("date,until,hours\n2026-04-14-h2300,2026-02-03-h1460,3\n",
         "line 2, date: 2026-02-03-h1460 (2026-02-03) is not later than 2026-04-14-h2300 (2026-04-14)"),
        ("date,until,white_cd_m2\n2026-04-14-h2300,2026-02-03-h1460,3\n",
         "line 2, until: 2026-02-03-h1460 (2026-02-03) is not later than"),
        ("date,hours_a_day,zone,shows\n2026-01-01,8,list,mid\n2026-01-01,9,,\n", "line 3, hours_a_day: differs"),
        ("date,zone,shows\n2026-01-01,list,mid\n2026-01-01,list,dark\n", "make 2, more than 1"),
        ("date,until\n2026-01-05,2026-01-01\n", "line 2, until: 2026-01-01 is not later"),
        ("date,white_cd_m2,peak_share\n2026-01-05,100,0.5\n", "line 2, peak_share: stands beside white_cd_m2"),
        ("date\n" + "2026-01-05\n" * 4002, "more than 4000 lines are not read"),
        ("date,note\n2026-01-05," + "x" * 200_000 + "\n", "is no line of a CSV"),
    ],
)  # fmt: skip
def test_a_table_that_cannot_be_read_is_named(text: str | bytes, said: str) -> None:
    assert said in "\n".join(faults(text))
