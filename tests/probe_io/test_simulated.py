import pytest

from probe_io.simulated import Fault, FaultPlan, listed, parse_fault, serve, steady
from probe_io.simulated.dialects import PlainDialect, ScpiDialect
from tests.references import value


def answers(dialect, data):
    return b"".join(answer.data for answer in dialect.receive(data))


def scpi(*faults):
    return ScpiDialect(steady(1.0, 2.0, 3.0), FaultPlan(faults))


def test_an_unknown_command_is_queued_as_scpi_says():
    dialect = scpi()
    record = value("SCPI-ERR")  # SCPI-1999: -113 undefined header
    assert answers(dialect, b"READ:LAB?\nSYST:ERR?\n").decode() == record["inputs"]["response"]


def test_an_empty_queue_says_no_error():
    assert answers(scpi(), b"SYST:ERR?\n").decode().strip() == value("SCPI-NOERR")["inputs"]["response"]


def test_an_overflowing_queue_replaces_its_newest_item():
    dialect = scpi()
    answers(dialect, b"NONSENSE\n" * 40)
    items = [answers(dialect, b"SYST:ERR?\n").decode().strip() for _ in range(17)]
    record = value("SCPI-OVF")["expected"]
    assert items[15] == f'{record["code"]},"{record["text"]}"'
    assert items[0].startswith("-113")
    assert items[16].startswith("0,")


def test_an_identification_has_four_fields():
    assert len(answers(scpi(), b"*IDN?\n").decode().split(",")) == len(value("SCPI-IDN")["expected"])


def test_an_over_range_reading_is_the_infinity_of_scpi():
    fields = answers(scpi(Fault("over-range")), b"READ:XYZ?\n").decode().split(",")
    assert float(fields[1]) == value("SCPI-NAN")["expected"][1]


def test_long_forms_short_forms_and_both_cases_are_understood():
    dialect = scpi()
    assert answers(dialect, b"sense:integration 0.5;:SENS:INT?\n") == b"5.000000E-01\n"
    assert answers(dialect, b"SYSTem:ERRor:NEXT?\n").startswith(b"0,")


def test_commands_may_come_in_pieces():
    dialect = scpi()
    assert answers(dialect, b"*ID") == b""
    assert answers(dialect, b"N?\n").startswith(b"PANELWEAR")


def test_settings_out_of_range_are_refused():
    assert answers(scpi(), b"SENS:INT -1\nSENS:AVER x\nSYST:ERR?;SYST:ERR?\n").startswith(
        b'-222,"Data out of range"\n-104'
    )


def test_plain_lines_answer_each_character():
    dialect = PlainDialect(steady(95.047, 100.0, 108.883), FaultPlan())
    assert answers(dialect, b"M") == b"= 100 0.31273 0.32902\r\n"
    assert answers(dialect, b"x") == b"! 8\r\n"


def test_plain_lines_have_no_chromaticity_in_the_dark():
    assert answers(PlainDialect(steady(0.0, 0.001, -0.001), FaultPlan()), b"M") == b"! 2 0.00100\r\n"


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("silence", Fault("silence")),
        ("silence@3x2", Fault("silence", 3, 2)),
        ("delay:1.5@2x0", Fault("delay", 2, 0, 1.5)),
        ("over-range", Fault("over-range")),
    ],
)
def test_faults_are_written_short(text, fault):
    assert parse_fault(text) == fault


@pytest.mark.parametrize("text", ["", "smoke", "delay:x", "half@one"])
def test_an_unknown_fault_says_how_to_write_one(text):
    with pytest.raises(ValueError, match="write KIND"):
        parse_fault(text)


def test_a_fault_strikes_when_it_is_meant_to():
    plan = FaultPlan([Fault("half", at=2, times=2)])
    assert [f.kind if (f := plan.next()) else "" for _ in range(4)] == ["", "half", "half", ""]
    plan.add("silence")
    assert plan.next() == Fault("silence", 5)
    assert plan.measured == 5


def test_listed_light_begins_again():
    light = listed([(1.0, 2.0, 3.0), (4.0, 5.0, 6.0)])
    assert [light(1.0)[1] for _ in range(3)] == [2.0, 5.0, 2.0]


def test_a_server_listens_on_this_machine_only():
    with serve("plain-lines", steady(1.0, 1.0, 1.0)) as server:
        assert server.url.startswith("socket://127.0.0.1:")


def test_an_unknown_dialect_or_transport_is_refused():
    with pytest.raises(ValueError, match="no dialect"):
        serve("klingon", steady(1.0, 1.0, 1.0))
    with pytest.raises(ValueError, match="no transport"):
        serve("plain-lines", steady(1.0, 1.0, 1.0), "pigeon")
