import pytest

import probe_io.errors
from panelwear.errors import FileFault, ProbeFault, Stopped
from panelwear.probe_border import probe_errors, translated
from probe_io.errors import InstrumentFileError, ProbeError

EXPECTED = {"InstrumentFileError": FileFault, "Cancelled": Stopped}


def every_class(base):
    return [base, *(found for child in base.__subclasses__() for found in every_class(child))]


@pytest.mark.parametrize("kind", every_class(ProbeError), ids=lambda kind: kind.__name__)
def test_every_probe_error_becomes_one_of_the_applications(kind):
    error = kind(("file: key: wrong",)) if kind is InstrumentFileError else kind("the sentence", b"raw")
    with pytest.raises(EXPECTED.get(kind.__name__, ProbeFault)) as caught, probe_errors():
        raise error
    assert type(caught.value) is EXPECTED.get(kind.__name__, ProbeFault)
    assert str(caught.value) == str(error)
    assert caught.value.__cause__ is error


def test_every_class_of_the_errors_module_is_covered():
    public = {name for name, found in vars(probe_io.errors).items() if isinstance(found, type)}
    assert public == {kind.__name__ for kind in every_class(ProbeError) if kind.__module__ == "probe_io.errors"}


def test_all_faults_of_a_file_cross_the_border():
    fault = translated(InstrumentFileError(("one", "two")))
    assert isinstance(fault, FileFault)
    assert fault.problems == ("one", "two")


def test_other_errors_pass_through():
    with pytest.raises(KeyError), probe_errors():
        raise KeyError("not ours")
