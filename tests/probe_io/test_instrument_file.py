import tomllib

import pytest

from probe_io.errors import InstrumentFileError
from probe_io.instrument import checked_settings
from probe_io.instrument_file import SHIPPED, find, load, looks_like, parse, shipped
from tests.probe_io.bench import made

GOOD = """
format = "panelwear-instrument/1"
name = "mine"
[line]
baud = 4800
[measure]
send = "R"
reply = "{X:number} {Y:number} {Z:number}"
quantity = "XYZ"
"""


def problems(text):
    with pytest.raises(InstrumentFileError) as caught:
        parse(text.encode(), "mine.toml")
    return caught.value.problems


def test_a_short_file_is_enough():
    instrument = parse(GOOD.encode(), "mine.toml")
    assert instrument.line.baud == 4800
    assert instrument.measure.cd_m2_per_unit == 1.0
    assert len(instrument.sha256) == 64


@pytest.mark.parametrize("name", shipped())
def test_a_shipped_file_is_sound_and_named_as_its_file(name):
    assert find(name).name == name
    assert find(name).description


@pytest.mark.parametrize("name", shipped())
def test_a_shipped_file_can_be_told_by_its_content(name):
    assert looks_like(tomllib.loads((SHIPPED / f"{name}.toml").read_text(encoding="utf-8")))


def test_other_toml_is_not_taken_for_an_instrument_file():
    assert not looks_like({"name": "harbour-desk", "pixels": [3840, 2160]})


def test_all_faults_come_at_once_with_file_key_and_what_is_allowed():
    text = (
        GOOD.replace("baud = 4800", 'baud = true\nparity = "odd?"\nstp = 1')
        .replace('quantity = "XYZ"', 'quantity = "Lab"\nunit = "nit"\nwait = "poll"')
        .replace("{Z:number}", "{Z:word}")
    )
    found = problems(text)
    assert "mine.toml: line.baud: expected a whole number (50 to 4000000), got true" in found
    assert any("line.parity" in p and "did you mean 'odd'?" in p for p in found)
    assert "mine.toml: line.stp: unknown key; did you mean 'stop'?" in found
    assert any("measure.quantity" in p and "Yxy" in p for p in found)
    assert any("measure.unit" in p and "fL" in p for p in found)
    assert any("measure.fetch" in p for p in found)
    assert any("measure.poll: is missing" in p for p in found)


def test_a_reply_without_the_quantity_it_promises_is_a_fault():
    assert any("no hole {Z:number}" in p for p in problems(GOOD.replace(" {Z:number}", "")))


def test_a_decimal_comma_that_cannot_be_told_from_a_dividing_comma_is_a_fault():
    text = GOOD.replace("{X:number} {Y:number}", "{X:number},{Y:number}") + 'decimal = "comma"\n'
    assert any("read as part of the number" in p for p in problems(text))


def test_a_missing_table_is_a_fault():
    found = problems('format = "panelwear-instrument/1"\nname = "mine"\n')
    assert any(p.startswith("mine.toml: line: is missing") for p in found)
    assert any(p.startswith("mine.toml: measure: is missing") for p in found)


def test_broken_toml_is_one_fault_with_its_place():
    assert "line 1" in problems("name = \n[line]\n")[0]


def test_an_unknown_name_tells_what_is_shipped():
    with pytest.raises(InstrumentFileError, match="plain-lines, scpi-colorimeter"):
        find("no-such-meter")


def test_a_file_that_is_not_there_says_so(tmp_path):
    with pytest.raises(InstrumentFileError, match="cannot be read"):
        load(tmp_path / "gone.toml")


def test_a_file_of_ones_own_is_found_by_path(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text(GOOD, encoding="utf-8")
    assert find(str(path)).name == "mine"


def test_an_error_reply_is_kept_in_the_order_of_the_file():
    text = (
        GOOD
        + '[[errors]]\nreply = "E1{:skip}"\nmeaning = "retry"\n[[errors]]\nreply = "E{n:integer}"\nmeaning = "stop"\n'
    )
    assert [e.meaning for e in parse(text.encode(), "m").errors] == ["retry", "stop"]


def test_an_unknown_meaning_is_a_fault():
    assert any("errors[1].meaning" in p for p in problems(GOOD + '[[errors]]\nreply = "E"\nmeaning = "panic"\n'))


def test_settings_a_person_gives_are_checked():
    instrument = find("scpi-colorimeter")
    assert checked_settings(instrument, {"averages": 4.0}) == {"averages": 4.0}
    with pytest.raises(InstrumentFileError) as caught:
        checked_settings(instrument, {"averages": 1000.0, "gain": 1.0})
    assert len(caught.value.problems) == 2


@pytest.mark.parametrize("damage", ["x = " + "[" * 10_000, "x" + ".x" * 10_000 + " = 1"])
def test_a_file_nested_without_end_is_one_sentence(damage):
    assert problems(damage) == ("mine.toml: is nested too deeply to be TOML of panelwear",)


def test_what_does_not_go_together_is_told_beside_other_faults():
    found = problems(GOOD + 'wait = "poll"\nunit = "factor"\nfixed_s = -1\n')
    assert [p.split(": ")[1] for p in found] == ["measure.fixed_s", "measure.fetch", "measure.poll", "measure.factor"]


ALIKE = ["{:skip}", "{Y:number} {x:number} {y:number}", "{a:number} {:skip}", "E{n:integer}"]


@pytest.mark.parametrize("expect", ALIKE)
def test_an_answer_that_a_reading_fits_cannot_prove_the_line(expect):
    rest = f'[resync]\nask = "?"\nexpect = "{expect}"\n[[errors]]\nreply = "E{{code:integer}}"\nmeaning = "stop"'
    with pytest.raises(InstrumentFileError, match="which a reading fits too"):
        made('send = "R"\nreply = "{Y:number} {x:number} {y:number}"\nquantity = "Yxy"', rest)


def test_a_number_of_one_digit_cannot_prove_the_line_of_a_meter_that_sends_luminance_alone():
    with pytest.raises(InstrumentFileError, match="which a reading fits too"):
        made('send = "R"\nreply = "{Y:number}"\nquantity = "Y"', '[resync]\nask = "?"\nexpect = "7"')
