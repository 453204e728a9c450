"""A column of text as numbers and the few different texts they stand for: no object, and no copy of a text, a row."""

from __future__ import annotations

from collections.abc import Callable, Container, Iterator, Sequence
from typing import Any, overload

import numpy as np
from numpy.typing import ArrayLike, NDArray

Codes = NDArray[np.unsignedinteger[Any]]
Rows = NDArray[np.bool_] | NDArray[np.intp] | slice


class Labels:
    """A column of n texts; what asks for a numpy array of them (``np.asarray``) gets one."""

    __slots__ = ("codes", "words")
    __hash__ = None  # type: ignore[assignment]

    def __init__(self, codes: Codes, words: Sequence[str]) -> None:
        """Take the column as it is.

        Args:
            codes: which of the words each row holds, ``(n,)``.
            words: the different texts, none twice; there may be some that no row holds.
        """
        self.codes = codes
        self.words = tuple(words)

    def __len__(self) -> int:
        return len(self.codes)

    def __iter__(self) -> Iterator[str]:
        return iter(self.tolist())

    @overload
    def __getitem__(self, rows: int | np.integer[Any]) -> str: ...
    @overload
    def __getitem__(self, rows: Rows) -> Labels: ...
    def __getitem__(self, rows: Any) -> str | Labels:
        chosen = self.codes[rows]
        return Labels(chosen, self.words) if isinstance(chosen, np.ndarray) else self.words[int(chosen)]

    def __array__(self, dtype: Any = None, copy: bool | None = None) -> NDArray[Any]:
        return np.array(self.words or ("",), dtype=np.str_)[self.codes].astype(dtype or np.str_, copy=False)

    def __eq__(self, other: object) -> NDArray[np.bool_]:  # type: ignore[override]
        return self.isin((other,)) if isinstance(other, str) else np.asarray(np.equal(self, np.asarray(other)))

    def __ne__(self, other: object) -> NDArray[np.bool_]:  # type: ignore[override]
        return np.logical_not(self == other)

    def tolist(self) -> list[str]:
        """Return the texts as a list."""
        return [self.words[code] for code in self.codes.tolist()]

    def isin(self, words: Container[object]) -> NDArray[np.bool_]:
        """Tell which rows hold one of these texts."""
        return self._where([word in words for word in self.words])

    def contains(self, part: str) -> NDArray[np.bool_]:
        """Tell which rows hold a text with this part in it."""
        return self._where([part in word for word in self.words])

    def startswith(self, start: str) -> NDArray[np.bool_]:
        """Tell which rows hold a text that begins so."""
        return self._where([word.startswith(start) for word in self.words])

    def _where(self, wanted: Sequence[bool]) -> NDArray[np.bool_]:
        return np.array(wanted or [False], dtype=np.bool_)[self.codes]

    def named(self, name: Callable[[str], str]) -> Labels:
        """Return the column of what a function makes of each text; it is asked once for each that is there."""
        used, codes = np.unique(self.codes, return_inverse=True)
        return labels_of_words([name(self.words[code]) for code in used.tolist()], codes.reshape(-1))

    def there(self) -> list[str]:
        """Return the texts that rows hold, each once, in the order they first appear."""
        if len(self.codes) and (self.codes == self.codes[0]).all():  # of most columns of one patch, and quick to see
            return [self.words[int(self.codes[0])]]
        return [self.words[int(self.codes[row])] for row in self.first_rows().tolist()]

    def first_rows(self) -> NDArray[np.intp]:
        """Return the first row of each text that is there, ascending."""
        return np.sort(np.unique(self.codes, return_index=True)[1])

    def groups(self) -> list[NDArray[np.intp]]:
        """Return the rows that hold each text, ascending; texts in the order they first appear."""
        return sorted(grouped(self.codes), key=lambda rows: int(rows[0]))

    def beside(self, other: Labels, between: str) -> Labels:
        """Return the column of this text, ``between`` and the other column's, row by row."""
        both = self.codes.astype(np.int64) * max(len(other.words), 1) + other.codes
        pairs, codes = np.unique(both, return_inverse=True)
        split = (divmod(pair, max(len(other.words), 1)) for pair in pairs.tolist())
        return labels_of_words([f"{self.words[a]}{between}{other.words[b]}" for a, b in split], codes.reshape(-1))

    def ranks(self) -> NDArray[np.int64]:
        """Number the texts that are there in the order of the alphabet, from 0, and return the number of each row."""
        used, inverse = np.unique(self.codes, return_inverse=True)
        words = [self.words[code] for code in used.tolist()]
        rank = {word: number for number, word in enumerate(sorted(set(words)))}
        return np.array([rank[word] for word in words], dtype=np.int64)[inverse.reshape(-1)]


def grouped(numbers: NDArray[np.integer[Any]]) -> list[NDArray[np.intp]]:
    """Return the rows of each number, ascending; numbers in ascending order."""
    order = np.argsort(numbers, kind="stable")
    begins = np.flatnonzero(numbers[order][1:] != numbers[order][:-1]) + 1
    return np.split(order, begins) if len(order) else []


def labels_of(texts: ArrayLike) -> Labels:
    """Make a column of texts."""
    number: dict[str, int] = {}
    listed = texts if isinstance(texts, list) else np.asarray(texts).tolist()
    codes = np.array([number.setdefault(text, len(number)) for text in listed], dtype=np.int64)
    return Labels(narrow(codes, len(number)), tuple(number))


def labels_of_words(words: Sequence[str], codes: NDArray[np.integer[Any]]) -> Labels:
    """Make a column of numbers and the texts they stand for, of which some may be alike."""
    number: dict[str, int] = {}
    same = np.array([number.setdefault(word, len(number)) for word in words] or [0], dtype=np.int64)
    return Labels(narrow(same[codes], len(number)), tuple(number))


def narrow(codes: NDArray[np.integer[Any]], words: int) -> Codes:
    """Return codes of so many words in the fewest bytes that hold them."""
    return codes.astype(np.min_scalar_type(max(words - 1, 0)), copy=False)
