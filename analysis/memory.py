# SPDX-License-Identifier: GPL-3.0-or-later
"""What an examination worked out, kept for the next one of a clip that is nearly the same.

While keys are polished, most of what is worked out for a shot is worked out again from the very
same numbers. A result is kept by its function and a digest of all that the function is given, bit
by bit; nothing is ever taken for another because it is near it. So an examination with a memory
gives the same bits as one without.
"""

from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, ParamSpec, TypeVar

from .digest import Digests
from .row_memory import RowMemory
from .unchanging import unchanging

Asked = ParamSpec("Asked")
Result = TypeVar("Result")

# What the last so many whole examinations did not use is forgotten, and the oldest of what is more
# than this: the results of the busiest shots known take a tenth of it.
EXAMINATIONS = 2
MOST_BYTES = 64 * 2**20
# A key, its digest and their places in the table, about.
KEY_BYTES = 300


@dataclass
class _Kept:
    result: Any
    size: int
    used: int


class Memory:
    """Results of pure functions, for the examinations of one rig after each other.

    It changes as it is used, and is for one examination at a time. most_bytes bounds what it
    holds, about, but for what `rows` holds of the last one, see `row_memory`. hits, misses: how
    often a result was known, and was not.
    """

    # A function may be given a memory to ask: that changes nothing of what it gives.
    says_nothing = True

    def __init__(self, most_bytes: int = MOST_BYTES) -> None:
        self.most_bytes = most_bytes
        self.hits = 0
        self.misses = 0
        self._size = 0
        self._count = 0
        self._kept: OrderedDict[tuple[Any, bytes], _Kept] = OrderedDict()
        self._digests = Digests()
        self.rows = RowMemory()

    def __len__(self) -> int:
        """How many results it holds."""
        return len(self._kept)

    @property
    def size(self) -> int:
        """Bytes that the results take, about."""
        return self._size

    def recall(
        self, function: Callable[Asked, Result], *args: Asked.args, **named: Asked.kwargs
    ) -> Result:
        """What the function gives for these arguments, worked out or known.

        function   of a module, pure, of arrays, numbers, words, tuples and frozen dataclasses of
                   these; it gives such values as well, whose arrays can't be written to from then
                   on. Raises TypeError for any others.
        """
        key = (function, self._digests.of((args, named) if named else args))
        known = self._kept.get(key)
        if known is not None:
            self.hits += 1
            known.used = self._count
            self._kept.move_to_end(key)
            return known.result  # type: ignore[no-any-return]
        self.misses += 1
        result, size = unchanging(function(*args, **named))
        self._keep(key, _Kept(result, size + KEY_BYTES, self._count))
        return result  # type: ignore[no-any-return]

    def begin(self) -> None:
        """An examination begins; one that was left half way costs nothing of what is known."""
        self._digests.forget()

    def end(self) -> None:
        """An examination is at its end: what the last ones did not use is forgotten."""
        self._digests.forget(unused=True)
        self.rows.forget_unused()
        self._count += 1
        oldest = self._count - EXAMINATIONS
        old = [key for key, kept in self._kept.items() if kept.used < oldest]
        for key in old:
            self._size -= self._kept.pop(key).size

    def _keep(self, key: tuple[Any, bytes], kept: _Kept) -> None:
        before = self._kept.pop(key, None)
        self._size += kept.size - (before.size if before is not None else 0)
        self._kept[key] = kept
        while self._size > self.most_bytes:
            self._size -= self._kept.popitem(last=False)[1].size


def recalled(
    memory: Memory | None,
    function: Callable[Asked, Result],
    *args: Asked.args,
    **named: Asked.kwargs,
) -> Result:
    """`Memory.recall` of a memory, or the function's own answer where there is none.

    Its arrays are made alike then: one that was copied lies otherwise in memory, and a sum over it
    may end in other bits.
    """
    if memory is not None:
        return memory.recall(function, *args, **named)
    return unchanging(function(*args, **named))[0]  # type: ignore[no-any-return]
