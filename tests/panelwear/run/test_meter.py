"""Whether another meter than before is found, and who may go on with it."""

import pytest

from panelwear.errors import UsageError
from panelwear.run.meter import other_meter, same_meter
from probe_io.reading import ProbeIdentity

SECOND = ProbeIdentity("plain-lines", "/dev/ttyUSB1", model="A", serial="0099")
FIRST = {"model": "A", "serial": "0042"}


class Answering:
    """A person who answers one thing."""

    def __init__(self, answer):
        self.answer = answer
        self.asked = []

    def ask(self, question):
        self.asked.append(question)
        return self.answer


def test_another_serial_number_is_told_with_both_names():
    said = other_meter(SECOND, FIRST, "when this session began")
    assert said == "the meter that answers is A 0099; when this session began it was A 0042"


@pytest.mark.parametrize("before", [{}, {"model": "A", "serial": "0099"}, {"model": "A", "serial": ""}])
def test_the_same_meter_and_one_that_does_not_tell_pass(before):
    assert other_meter(SECOND, before, "then") == ""


def test_what_probe_toml_states_counts():
    with pytest.raises(UsageError, match=r"A 0099; in probe.toml it was 0042"):
        same_meter(Answering("no"), SECOND, "0042", [])


def test_a_person_may_go_on_and_it_is_recorded():
    person = Answering("yes")
    assert len(same_meter(person, SECOND, "", [("when this session began", FIRST)])) == 1
    assert person.asked[0].default == "no"


def test_without_a_probe_nobody_is_asked():
    person = Answering("yes")
    assert same_meter(person, None, "0042", [("then", FIRST)]) == ()
    assert person.asked == []
