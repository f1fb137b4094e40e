# SPDX-License-Identifier: GPL-3.0-or-later
"""Work in steps: a generator pauses where a window may be drawn, and returns its result."""

from collections.abc import Generator
from dataclasses import dataclass
from typing import TypeVar

Result = TypeVar("Result")
Word = TypeVar("Word")


@dataclass(frozen=True)
class Progress:
    """How far a piece of work has come: share from 0 to 1, and what is done next, in words."""

    share: float
    does: str


def at_once(steps: Generator[object, None, Result]) -> Result:
    """The result of all steps, one after the other."""
    while True:
        try:
            next(steps)
        except StopIteration as end:
            return end.value  # type: ignore[no-any-return]


def saying(steps: Generator[object, None, Result], word: Word) -> Generator[Word, None, Result]:
    """The same steps, with a word at each pause."""
    try:
        while True:
            try:
                next(steps)
            except StopIteration as end:
                return end.value  # type: ignore[no-any-return]
            yield word
    finally:
        steps.close()


def within(
    steps: Generator[Progress, None, Result], first: float, last: float
) -> Generator[Progress, None, Result]:
    """The same steps as a part of something longer: their shares run from first to last."""
    try:
        while True:
            try:
                told = next(steps)
            except StopIteration as end:
                return end.value  # type: ignore[no-any-return]
            yield Progress(first + (last - first) * told.share, told.does)
    finally:
        steps.close()
