# SPDX-License-Identifier: GPL-3.0-or-later
"""Work in steps: a generator pauses where a window may be drawn, and returns its result."""

from collections.abc import Generator
from typing import TypeVar

Result = TypeVar("Result")
Word = TypeVar("Word")


def at_once(steps: Generator[object, None, Result]) -> Result:
    """The result of all steps, one after the other."""
    while True:
        try:
            next(steps)
        except StopIteration as end:
            return end.value  # type: ignore[no-any-return]


def saying(steps: Generator[object, None, Result], word: Word) -> Generator[Word, None, Result]:
    """The same steps, with a word at each pause."""
    while True:
        try:
            next(steps)
        except StopIteration as end:
            return end.value  # type: ignore[no-any-return]
        yield word
