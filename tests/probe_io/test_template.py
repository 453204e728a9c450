import pytest
from hypothesis import given
from hypothesis import strategies as st

from probe_io.instrument_file import find, shipped
from probe_io.template import Mismatch, TemplateFault, parse_command, parse_template
from tests.references import value


def test_every_number_form_of_ieee_488_2_is_read():
    record = value("SCPI-NRF")  # IEEE 488.2 8.7.2 to 8.7.4
    template = parse_template("{n:number}")
    for text, expected in zip(record["inputs"]["strings"], record["expected"], strict=True):
        assert template.match(text)["n"] == pytest.approx(expected, abs=record["tolerance"])


def test_an_identification_has_four_fields():
    record = value("SCPI-IDN")  # IEEE 488.2 10.14
    template = parse_template("{maker:text},{model:text},{serial:text},{firmware:text}")
    assert list(template.match(record["inputs"]["response"]).values()) == record["expected"]


def test_an_error_queue_item_is_read():
    record = value("SCPI-ERR")
    found = parse_template('{code:integer},"{text:text}"').match(record["inputs"]["response"].rstrip("\n"))
    assert found == {"code": record["expected"]["code"], "text": record["expected"]["text"]}


def test_a_status_and_blank_divided_fields_are_read():
    template = parse_template("= {Y:number} {x:number} {y:number}")
    assert template.match("=  182.40\t0.3127 .3290 ") == {"Y": 182.4, "x": 0.3127, "y": 0.329}


def test_a_decimal_comma_is_read_where_the_file_says_so():
    assert parse_template("{Y:number};{x:number}", ",").match("182,4;0,3127") == {"Y": 182.4, "x": 0.3127}


def test_a_decimal_point_is_refused_where_the_file_says_comma():
    with pytest.raises(Mismatch):
        parse_template("{Y:number}", ",").match("182.4")


def test_fields_can_be_skipped():
    assert parse_template("{:skip},{Y:number},{:skip}").match("junk here,5,rest") == {"Y": 5.0}


def test_braces_can_be_literal():
    assert parse_template("{{{Y:number}}}").match("{5}") == {"Y": 5.0}


@pytest.mark.parametrize("text", ["", "1,", ",1", "x,1", "1,2,3", "1e999,2", "--1,2", "1,2x", "1 ,2", "\uff11,2"])
def test_a_reply_that_does_not_fit_is_a_mismatch(text):
    with pytest.raises(Mismatch):
        parse_template("{a:number},{b:number}").match(text)


@pytest.mark.parametrize(
    ("text", "decimal"),
    [
        ("{a:number}{b:number}", "."),
        ("{a:number},{b:number}", ","),
        ("{a:number}5", "."),
        ("{a:float}", "."),
        ("{a:number} {a:number}", "."),
        ("{a:number", "."),
        ("a}", "."),
        ("", "."),
        ("{:number}", "."),
    ],
)
def test_a_template_that_cannot_be_told_apart_is_a_fault(text, decimal):
    with pytest.raises(TemplateFault):
        parse_template(text, decimal)


def test_commands_are_filled_with_a_point_and_wanted_decimals():
    command = parse_command("INT {integration_s:2};{integration_ms}", ("integration_s", "integration_ms"))
    assert command.fill({"integration_s": 0.5, "integration_ms": 500.0}) == "INT 0.50;500"


def test_a_command_hole_that_cannot_be_filled_is_a_fault():
    with pytest.raises(TemplateFault, match="cannot be filled"):
        parse_command("{colour}", ("integration_s",))


REPLIES = [
    *(find(name).measure.reply for name in shipped()),
    *(error.reply for name in shipped() for error in find(name).errors),
    parse_template("{a:word} {b:integer}\n{c:number};{:skip};{d:text}", ","),
]


@given(st.sampled_from(REPLIES), st.text(max_size=60) | st.text("OK0ER12, \t.+-eE;\n", max_size=60))
def test_the_scanner_raises_nothing_but_its_own_error(template, reply):
    try:
        found = template.match(reply)
    except Mismatch as mismatch:
        assert 0 <= mismatch.at <= len(reply)
    else:
        assert set(found) == set(template.holes)


@given(*[st.floats(-1e30, 1e30, allow_nan=False) for _ in range(3)])
def test_what_is_written_is_read_back(X, Y, Z):
    found = parse_template("{X:number},{Y:number},{Z:number}").match(f"{X:+.6E},{Y!r},{Z:.17g}")
    assert found["X"] == float(f"{X:+.6E}")
    assert (found["Y"], found["Z"]) == (Y, Z)


def test_a_long_run_of_blanks_does_not_slow_the_scanner_down():
    template = parse_template("{a:text} x{b:text} y")
    with pytest.raises(Mismatch):
        template.match(" " * 200_000)  # a quadratic scan would take minutes


@pytest.mark.parametrize("blanks", [" ", "\t ", "   "])
def test_blanks_of_any_length_stand_for_one_where_text_is_looked_for(blanks):
    found = parse_template("{a:text} of b{n:integer}").match(f"one{blanks}of{blanks}c{blanks}of{blanks}b7")
    assert found == {"a": f"one{blanks}of{blanks}c", "n": 7}
