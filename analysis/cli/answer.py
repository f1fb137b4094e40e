# SPDX-License-Identifier: GPL-3.0-or-later
"""What checking one input gives."""

from collections.abc import Callable
from dataclasses import dataclass

from ..finding import Shot
from ..settings import Settings

# One failed input: its name and the sentence that says why.
Failure = tuple[str, str]


@dataclass(frozen=True, kw_only=True)
class Answer:
    """The shots of one input.

    judged      each shot, and the settings with the stage that it was judged at
    left_out    sentences about characters in it that could not be judged
    unwritten   sentences about files that could not be written for it
    """

    judged: tuple[tuple[Shot, Settings], ...]
    left_out: tuple[str, ...] = ()
    unwritten: tuple[str, ...] = ()


# Checks the input of that name; raises PlumblineError where it cannot be checked.
CheckOne = Callable[[str, Settings], Answer]
