# SPDX-License-Identifier: GPL-3.0-or-later
"""What a function gave sample by sample, kept for the next examination: only samples of which
anything is given otherwise, to the bit, are worked out again."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from .memory import Memory

Bools = NDArray[np.bool_]
Arrays = tuple[Any, ...]
# Gives arrays (R,...) for arrays (R,...), each row by itself: the same bits whatever rows are
# beside it, and however many.
ByRows = Callable[..., Arrays]


@dataclass(frozen=True, eq=False)
class _Known:
    """given, result (T,...)   what went in and what came out; done (T,) on which samples"""

    given: Arrays
    result: Arrays
    done: Bools


class RowMemory:
    """The last results of functions; it changes as it is used."""

    def __init__(self) -> None:
        self._known: dict[tuple[Any, ...], _Known] = {}
        self._used: set[tuple[Any, ...]] = set()

    def __len__(self) -> int:
        """How many results it holds."""
        return len(self._known)

    def forget_unused(self) -> None:
        """Forget what was not asked for since this was called last."""
        self._known = {key: known for key, known in self._known.items() if key in self._used}
        self._used = set()

    def recall(self, name: str, function: ByRows, given: Arrays, wanted: Bools) -> Arrays:
        """The results (W,...) for the wanted samples (T,) of the arrays (T,...).

        name   tells apart what the function is asked for in one examination
        """
        key = (function, name, tuple((each.shape, each.dtype.str) for each in given))
        self._used.add(key)
        known = self._known.get(key)
        done = np.zeros(len(wanted), dtype=bool)
        if known is not None:
            done = known.done & _same_rows(known.given, given)
        todo = wanted & ~done
        if known is None or todo.any():
            fresh = function(*(each[todo] for each in given))
            result = tuple(np.zeros((len(wanted), *each.shape[1:]), each.dtype) for each in fresh)
            for n, (array, new) in enumerate(zip(result, fresh, strict=True)):
                if known is not None:
                    array[done] = known.result[n][done]
                array[todo] = new
        else:
            result = known.result
        # Of the caller's arrays copies are kept: nobody else can write to these.
        copies = tuple(each.copy() for each in given)
        self._known[key] = _Known(copies, result, done | todo)
        return tuple(each[wanted] for each in result)


def _same_rows(one: Arrays, other: Arrays) -> Bools:
    """(T,) on which samples two sets of arrays (T,...) hold the same bits."""
    same = np.ones(len(one[0]), dtype=bool)
    for a, b in zip(one, other, strict=True):
        differ = _bits(a) != _bits(b)
        same &= ~differ.reshape(len(a), -1).any(axis=1)
    return same


def _bits(values: Any) -> Any:
    """The bits of numbers, which tell 0 from -0 and compare a NaN with itself."""
    values = np.ascontiguousarray(values)
    return values.view(f"u{values.dtype.itemsize}")


def by_rows(
    memory: "Memory | None",
    name: str,
    function: ByRows,
    given: Arrays,
    wanted: Bools | None = None,
) -> Arrays:
    """`RowMemory.recall` of a memory, or the function's own answer where there is none.

    given    arrays (T,...); wanted (T,), or None for all samples
    """
    if memory is not None:
        if wanted is None:
            wanted = np.ones(len(given[0]), dtype=bool)
        return memory.rows.recall(name, function, given, wanted)
    return function(*(given if wanted is None else (each[wanted] for each in given)))
