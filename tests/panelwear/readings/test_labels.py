"""A column of labels answers as the array of its texts does."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from panelwear.readings.labels import Labels, labels_of

TEXTS = st.lists(st.sampled_from(["", "ok", "okay", "a|b", "é", "zone.1"]), max_size=12)


@given(TEXTS, st.integers(0, 2**12 - 1))
def test_labels_are_their_texts(texts: list[str], bits: int) -> None:
    labels, array = labels_of(texts), np.array(texts, dtype=np.str_)
    keep = np.array([bool(bits >> i & 1) for i in range(len(texts))], dtype=np.bool_)

    assert labels.tolist() == [*labels] == np.asarray(labels).tolist() == texts
    assert labels[keep].tolist() == array[keep].tolist()
    assert [labels[i] for i in range(len(labels))] == texts
    assert (labels == "ok").tolist() == (array == "ok").tolist()
    assert (labels != "ok").tolist() == (array != "ok").tolist()
    assert labels.isin(("ok", "é")).tolist() == np.isin(array, ("ok", "é")).tolist()
    assert labels.contains("ok").tolist() == [("ok" in text) for text in texts]
    assert labels.startswith("ok").tolist() == [text.startswith("ok") for text in texts]
    assert labels[keep].there() == list(dict.fromkeys(array[keep].tolist()))
    kept = array[keep]
    assert [{*kept[rows].tolist()} for rows in labels[keep].groups()] == [{text} for text in labels[keep].there()]
    assert sorted(row for rows in labels[keep].groups() for row in rows.tolist()) == [*range(int(keep.sum()))]


@given(TEXTS)
def test_columns_side_by_side_and_their_ranks_are_those_of_the_joined_texts(texts: list[str]) -> None:
    labels, others = labels_of(texts), labels_of(texts[::-1])
    joined = [f"{a}|{b}" for a, b in zip(texts, texts[::-1], strict=True)]
    ranks = np.unique(np.array(joined, dtype=np.str_), return_inverse=True)[1]

    assert labels.beside(others, "|").tolist() == joined
    assert labels.beside(others, "|").ranks().tolist() == ranks.reshape(-1).tolist()
    assert labels.named(str.upper).tolist() == [text.upper() for text in texts]


def test_a_text_costs_a_byte_a_row_and_is_there_once() -> None:
    labels = labels_of(["a long text"] * 500 + ["another"] * 500)

    assert isinstance(labels, Labels)
    assert labels.codes.nbytes == 1000
    assert labels.words == ("a long text", "another")
