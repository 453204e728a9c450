"""What the shipped files do not use, each against a script that must be used up, through a real socket."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from probe_io.errors import NoReply
from probe_io.serial_probe import SerialProbe
from probe_io.simulated import ScriptError, ScriptServer, ScriptStep
from probe_io.template import parse_command
from tests.probe_io.bench import TRANSPORTS, made

XYZ = 'send = "R"\nreply = "{X:number} {Y:number} {Z:number}"\nquantity = "XYZ"'


def read(instrument, steps, transport="tcp", readings=1):
    with ScriptServer(steps, transport) as server:
        probe = SerialProbe(instrument, server.url)
        probe.open()
        taken = [probe.measure() for _ in range(readings)]
        probe.close()
    return taken[0] if readings == 1 else taken


@pytest.mark.parametrize("transport", TRANSPORTS)
def test_an_instrument_is_polled_until_it_is_ready(transport):
    instrument = made(
        'send = "GO {integration_ms:0}"\nack = "OK"\nwait = "poll"\nfetch = "GET"\nreply = "{Y:number}"\n'
        'quantity = "Y"\n[measure.poll]\nsend = "RDY"\nbusy = "NO"\nevery_s = 0.01'
    )
    steps = [
        ScriptStep(b"GO 50\n", b"OK\n"),
        ScriptStep(b"RDY\n", b"NO\n"),
        ScriptStep(b"RDY\n", b"NO\n"),
        ScriptStep(b"RDY\n", b"YES\n"),
        ScriptStep(b"GET\n", b"7.5\n"),
    ]
    assert read(instrument, steps, transport).Y_cd_m2 == 7.5


def test_an_error_while_polling_is_understood():
    instrument = made(
        'send = "GO"\nwait = "poll"\nfetch = "GET"\nreply = "{Y:number}"\nquantity = "Y"\n'
        '[measure.poll]\nsend = "RDY"\nbusy = "NO"\nevery_s = 0.01',
        '[[errors]]\nreply = "E5"\nmeaning = "over-range"\nsay = "too bright"',
    )
    reading = read(instrument, [ScriptStep(b"GO\n"), ScriptStep(b"RDY\n", b"E5\n")])
    assert (reading.Y_cd_m2, reading.flags, reading.note) == (None, ("over-range",), "too bright")


def test_an_instrument_that_stays_busy_is_a_time_out():
    instrument = made(
        'send = "GO"\nwait = "poll"\nfetch = "GET"\nreply = "{Y:number}"\nquantity = "Y"\n'
        '[measure.poll]\nsend = "RDY"\nbusy = "NO"\nevery_s = 0.15',
        retry="times = 0\ngive_up_after = 1",
    )
    steps = [ScriptStep(b"GO\n"), *[ScriptStep(b"RDY\n", b"NO\n")] * 3]
    with pytest.raises(NoReply, match="still busy"):
        read(instrument, steps)


def test_a_fixed_time_is_waited_before_the_result_is_fetched():
    instrument = made(
        'send = "GO"\nwait = "fixed"\nfixed_s = 0.05\nfetch = "GET"\nreply = "{Y:number}"\nquantity = "Y"'
    )
    reading = read(instrument, [ScriptStep(b"GO\n"), ScriptStep(b"GET\n", b"3\n")])
    assert reading.Y_cd_m2 == 3.0
    assert reading.took_s >= 0.1


def test_an_echo_is_taken_off():
    instrument = made(XYZ, line="echo = true")
    assert read(instrument, [ScriptStep(b"R\n", b"R\n1 2 3\n")]).Y_cd_m2 == 2.0


def test_a_missing_echo_is_a_fault():
    reading = read(made(XYZ, line="echo = true"), [ScriptStep(b"R\n", b"1 2 3\n")])
    assert reading.Y_cd_m2 is None
    assert "echo" in reading.note


def test_checksums_go_both_ways():
    # 0x52 for "R"; 0x31 ^ 0x20 ^ 0x32 ^ 0x20 ^ 0x33 = 0x30.
    instrument = made(XYZ, line='checksum = "xor8"\nchecksum_mark = "*"')
    assert read(instrument, [ScriptStep(b"R*52\n", b"1 2 3*30\n")]).Y_cd_m2 == 2.0


@pytest.mark.parametrize("reply", [b"1 2 4*30\n", b"1 2 3\n", b"*\n", b"\n", b"1 2 3*\xff0\n"])
def test_a_wrong_checksum_is_a_failed_reading(reply):
    reading = read(made(XYZ, line='checksum = "xor8"\nchecksum_mark = "*"'), [ScriptStep(b"R*52\n", reply)])
    assert reading.Y_cd_m2 is None
    assert "checksum" in reading.note


def test_a_decimal_comma_and_a_unit_are_converted():
    instrument = made(
        'send = "R"\nreply = "{Y:number};{x:number};{y:number}"\nquantity = "Yxy"\nunit = "fL"\ndecimal = "comma"'
    )
    reading = read(instrument, [ScriptStep(b"R\n", b"10,0;0,25;0,5\n")])
    # 1 fL = 3.426 259 cd/m² (NIST SP 811); X = Y x / y, Z = Y (1 - x - y) / y (CIE 15).
    expected = (17.131295, 34.26259, 17.131295)
    assert (reading.X_cd_m2, reading.Y_cd_m2, reading.Z_cd_m2) == pytest.approx(expected, rel=1e-6)


def test_a_reply_of_three_lines_is_put_together():
    instrument = made('send = "R"\nreply = "X={X:number}\\nY={Y:number}\\nZ={Z:number}"\nquantity = "XYZ"')
    assert read(instrument, [ScriptStep(b"R\n", b"X=1\nY=2\nZ=3\n")]).Z_cd_m2 == 3.0


def test_an_error_in_place_of_three_lines_does_not_wait_for_the_rest():
    instrument = made(
        'send = "R"\nreply = "{X:number}\\n{Y:number}\\n{Z:number}"\nquantity = "XYZ"',
        '[[errors]]\nreply = "DIM"\nmeaning = "low-light"',
    )
    assert read(instrument, [ScriptStep(b"R\n", b"DIM\n")]).flags == ("low-light",)


def test_values_that_mean_missing_never_become_data():
    instrument = made(XYZ + "\nmissing = [9.91E37]\nover_range = [9.9E37]")
    dark, bright = read(
        instrument, [ScriptStep(b"R\n", b"1 9.91E37 3\n"), ScriptStep(b"R\n", b"9.9E37 5 3\n")], readings=2
    )
    assert (dark.Y_cd_m2, dark.flags) == (None, ())
    assert dark.note
    assert (bright.X_cd_m2, bright.Y_cd_m2, bright.flags) == (None, 5.0, ("over-range",))


def test_limits_of_the_file_flag_readings():
    instrument = made(XYZ + "\nlow_light_below_cd_m2 = 0.1\nover_range_above_cd_m2 = 1000")
    dark, bright = read(
        instrument, [ScriptStep(b"R\n", b"0 0.05 0\n"), ScriptStep(b"R\n", b"900 2000 900\n")], readings=2
    )
    assert dark.flags == ("low-light",)
    assert bright.flags == ("over-range",)


def test_the_integration_time_is_sent_only_when_it_changes():
    instrument = made(XYZ, '[[closing]]\nsend = "BYE"')
    send = parse_command("T{integration_s:1}", ("integration_s",))
    instrument = replace(instrument, integration=replace(instrument.integration, send=send))
    steps = [
        ScriptStep(b"T0.1\n"),
        ScriptStep(b"R\n", b"1 2 3\n"),
        ScriptStep(b"R\n", b"1 2 3\n"),
        ScriptStep(b"T0.2\n"),
        ScriptStep(b"R\n", b"1 2 3\n"),
    ]
    with ScriptServer([*steps, ScriptStep(b"BYE\n")]) as server:
        probe = SerialProbe(instrument, server.url)
        probe.open()
        for integration_s in (0.1, 0.1, 0.2):
            probe.measure(integration_s)
        probe.close()
    assert len(steps) == 5


@settings(max_examples=12)  # each one opens a link
@given(st.binary(max_size=40))
def test_whatever_bytes_come_there_is_a_reading_and_its_evidence(reply):
    reading = read(made(XYZ), [ScriptStep(b"R\n", reply.replace(b"\n", b" ") + b"\n")])
    assert reading.Y_cd_m2 is not None or reading.note
    assert reading.raw == reply.replace(b"\n", b" ")


def test_two_answers_to_one_question_are_not_believed_and_the_next_one_is():
    # The first one after a fault is thrown away, whatever it says: the next must be like it.
    once = ScriptStep(b"R\n", b"4 5 6\n")
    with ScriptServer([ScriptStep(b"R\n", b"1 2 3\n9 9 9\n"), once, once]) as server:
        probe = SerialProbe(made(XYZ), server.url)
        probe.open()
        first, second = probe.measure(), probe.measure()
        assert first.Y_cd_m2 is None
        assert "another answer came behind" in first.note
        assert second.Y_cd_m2 == 5.0
        probe.close()


@pytest.mark.parametrize(
    ("steps", "sentence"),
    [
        ([ScriptStep(b"R\n", b"1 2 3\n"), ScriptStep(b"S\n")], "1 steps never happened"),
        ([ScriptStep(b"R", b"1 2 3\n")], "came where the script wants nothing more"),
        ([ScriptStep(b"Q\n", b"1 2 3\n")], "came where the script wants"),
        ([ScriptStep(b"R\n\n", b"1 2 3\n")], "no whole command"),
    ],
)
def test_a_script_that_is_not_used_up_says_how(steps, sentence):
    with pytest.raises(ScriptError, match=sentence), ScriptServer(steps) as server:
        probe = SerialProbe(made(XYZ), server.url)
        probe.open()
        probe.measure()
        probe.close()
