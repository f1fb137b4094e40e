# SPDX-License-Identifier: GPL-3.0-or-later
"""Values out of JSON that somebody else may have written: each as it should be, or one sentence."""

import math
from collections.abc import Callable
from typing import Any, TypeVar

from ..errors import PlumblineError
from ..parts import is_part

Each = TypeVar("Each")
# The last one that Blender lets a scene have (its range of frame numbers; from memory).
LAST_FRAME = 1048574
_MISSING = object()


class Reader:
    """An object of JSON that is read field by field.

    what   says in errors what it is, such as "the 2nd note"; where: in which place it was found
    Every method raises PlumblineError, one sentence, for what does not fit.
    """

    def __init__(self, data: Any, *, what: str, where: str) -> None:
        self.what, self.where = what, where
        if not isinstance(data, dict):
            raise self.wrong("is no JSON object")
        self.data = data

    def wrong(self, found: str) -> PlumblineError:
        """The error for what was found."""
        return PlumblineError(
            f"{self.where} cannot be used: {self.what} {found}, expected it as Plumbline writes "
            "it: take a copy that was not edited, or start anew."
        )

    def text(self, name: str, default: str | None = None) -> str:
        """A text; the default where it is missing, unless that is None."""
        value = self.data.get(name, default)
        if not isinstance(value, str):
            raise self.wrong(f"has no text for {name}")
        return value

    def name(self, name: str) -> str:
        """A text that is not empty."""
        value = self.text(name)
        if not value:
            raise self.wrong(f"has no {name}")
        return value

    def texts(self, name: str) -> tuple[str, ...]:
        """A list of texts; empty where it is missing."""
        values = self.items(name)
        if not all(isinstance(value, str) for value in values):
            raise self.wrong(f"has something else than texts for {name}")
        return tuple(values)

    def text_or_none(self, name: str) -> str | None:
        """A text, or None where there is none."""
        return None if self.data.get(name) is None else self.text(name)

    def part(self, name: str) -> str | None:
        """A part, or None where there is none."""
        value = self.text_or_none(name)
        if value is not None and not is_part(value):
            raise self.wrong(f"names a part {value!r} that does not exist")
        return value

    def number(self, name: str, default: float | None = None) -> float:
        """A finite number."""
        return self._number(self.data.get(name, default), name)

    def number_or_none(self, name: str) -> float | None:
        """A finite number, or None where there is none."""
        return None if self.data.get(name) is None else self.number(name)

    def frame(self, name: str) -> float:
        """A frame that a scene can have."""
        number = self.number(name)
        if abs(number) > LAST_FRAME:
            raise self.wrong(f"has no frame that a scene can have for {name}")
        return number

    def frame_or_none(self, name: str) -> float | None:
        """A frame, or None where there is none."""
        return None if self.data.get(name) is None else self.frame(name)

    def span(self, name: str) -> tuple[float, float]:
        """First and last frame, which a scene can have, in their order."""
        first, last = self.numbers(name, 2)
        if last < first or max(abs(first), abs(last)) > LAST_FRAME:
            raise self.wrong(f"goes from frame {first:g} to {last:g} for {name}")
        return first, last

    def numbers(self, name: str, count: int) -> tuple[float, ...]:
        """So many finite numbers."""
        return self.point(self.data.get(name), name, count)

    def point(self, value: Any, name: str, count: int = 3) -> tuple[float, ...]:
        """So many finite numbers, of a value that is in hand."""
        if not isinstance(value, list) or len(value) != count:
            raise self.wrong(f"has no {count} numbers for {name}")
        return tuple(self._number(each, name) for each in value)

    def flag(self, name: str) -> bool:
        """True or false; false where it is missing."""
        value = self.data.get(name, False)
        if not isinstance(value, bool):
            raise self.wrong(f"has neither true nor false for {name}")
        return value

    def items(self, name: str) -> list[Any]:
        """A list; empty where it is missing."""
        value = self.data.get(name, [])
        if not isinstance(value, list):
            raise self.wrong(f"has no list for {name}")
        return value

    def each(self, name: str, what: str, read: Callable[["Reader"], Each]) -> tuple[Each, ...]:
        """All objects of a list, read one after the other."""
        return tuple(
            read(Reader(value, what=f"{what} {n}", where=self.where))
            for n, value in enumerate(self.items(name), start=1)
        )

    def inner(self, name: str, what: str) -> "Reader":
        """An object inside."""
        return Reader(self.data.get(name, _MISSING), what=what, where=self.where)

    def mapping(self, name: str) -> dict[str, Any]:
        """An object of any names; empty where it is missing."""
        value = self.data.get(name, {})
        if not isinstance(value, dict):
            raise self.wrong(f"has no object for {name}")
        return value

    def _number(self, value: Any, name: str) -> float:
        good = isinstance(value, (int, float)) and not isinstance(value, bool)
        try:
            number = float(value) if good else math.nan
        except OverflowError:
            number = math.inf
        if not math.isfinite(number):
            raise self.wrong(f"has no number for {name}")
        return number
