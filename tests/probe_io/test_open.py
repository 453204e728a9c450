from importlib.metadata import EntryPoint

import pytest

from probe_io import open as open_module
from probe_io.errors import CannotOpen, InstrumentFileError
from probe_io.keyboard import KeyboardProbe
from probe_io.open import SimulatedSerialProbe, open_probe
from probe_io.serial_probe import SerialProbe
from probe_io.simulated import steady
from tests.probe_io.bench import DIALECTS


@pytest.mark.parametrize("dialect", DIALECTS)
def test_simulated_is_a_real_link_to_a_server_of_its_own(dialect):
    probe = open_probe("simulated", dialect, source=steady(10.0, 20.0, 30.0), dwell=False)
    assert isinstance(probe, SimulatedSerialProbe)
    for _ in range(2):  # it can be opened again
        assert probe.open().link == "simulated"
        assert probe.measure().Y_cd_m2 == pytest.approx(20.0)
        probe.close()


def test_what_the_light_source_raises_is_not_lost():
    def broken(integration_s):
        raise RuntimeError("the panel has gone dark")

    probe = open_probe("simulated", source=broken, dwell=False)
    probe.open()
    with pytest.raises(RuntimeError, match="gone dark"):
        probe.measure()
    probe.close()


def test_keyboard_needs_somebody_to_ask():
    assert isinstance(open_probe("keyboard", ask=lambda prompt: "1"), KeyboardProbe)
    with pytest.raises(CannotOpen, match="nobody to ask"):
        open_probe("keyboard")


def test_a_port_needs_an_instrument_file():
    assert isinstance(open_probe("/dev/ttyUSB7", "plain-lines"), SerialProbe)
    with pytest.raises(CannotOpen, match="no instrument file"):
        open_probe("/dev/ttyUSB7")
    with pytest.raises(InstrumentFileError):
        open_probe("/dev/ttyUSB7", "no-such-file")


def offered(url, instrument):
    return (url, instrument.name if instrument else None)


def test_a_package_can_offer_a_probe_of_its_own_under_a_scheme(monkeypatch):
    point = EntryPoint("binary-meter", f"{__name__}:offered", open_module.ENTRY_POINTS)
    monkeypatch.setattr(open_module, "entry_points", lambda group: [point] if group == "panelwear.probes" else [])
    assert open_probe("binary-meter://1", "plain-lines") == ("binary-meter://1", "plain-lines")
    assert open_probe("binary-meter://1") == ("binary-meter://1", None)


def test_a_package_that_cannot_be_loaded_is_said_in_one_sentence(monkeypatch):
    point = EntryPoint("binary-meter", "no_such_package:make", open_module.ENTRY_POINTS)
    monkeypatch.setattr(open_module, "entry_points", lambda group: [point])
    with pytest.raises(CannotOpen, match="cannot be used"):
        open_probe("binary-meter://1")
