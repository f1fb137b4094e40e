# SPDX-License-Identifier: GPL-3.0-or-later
"""A short name for values, the same for the same bits and, but for a chance of 1 in 2^64, no
others."""

import marshal
import struct
from collections.abc import Callable, Iterable, Mapping
from dataclasses import fields
from hashlib import blake2b
from itertools import chain
from typing import Any, NamedTuple

import numpy as np

SIZE = 16
# Of arrays of more bytes the digest is worked out once.
LARGE = 4096
_SIMPLE = {float, int, str, bool, type(None)}
_NESTED = {*_SIMPLE, tuple}


class Digests:
    """Digests of values; those of frozen dataclasses and large still arrays are found once, until
    `forget`.

    Each value is told with its type and length, so that no two sequences run into each other. Of an
    array its type, shape, steps in memory and bytes count, as sums may depend on all of them. What
    `says_nothing` of itself, a memory, is left out.
    """

    def __init__(self) -> None:
        self._known: dict[int, _Known] = {}
        self._used: set[int] = set()
        self._lasts = True  # whether nothing that was told since can ever change

    def forget(self, *, unused: bool = False) -> None:
        """Forget all but records that can never change; and of those, where it is asked for, what
        was not used since that was asked for last."""
        kept = self._used if unused else self._known
        self._known = {
            key: known for key, known in self._known.items() if known.stays and key in kept
        }
        self._used = set() if unused else self._used & self._known.keys()

    def of(self, value: Any) -> bytes:
        """The digest (16 bytes); raises TypeError for what can change or has no bits of its own."""
        parts: list[Any] = []
        self._tell(value, parts)
        return blake2b(b"".join(parts), digest_size=SIZE).digest()

    def _tell(self, value: Any, parts: list[Any]) -> None:
        kind = type(value)
        tell = _PLAIN.get(kind)
        if kind is np.ndarray:
            is_still = _is_still(value)
            self._lasts &= is_still
            if is_still and value.nbytes > LARGE:
                parts.append(self._once(value, _tell_array))
            else:
                _tell_array(value, parts)
        elif tell is not None:
            tell(value, parts)
        elif kind is tuple and _is_plain(value):
            # The second format of `marshal` tells equal values alike, whoever else has them.
            plain = marshal.dumps(value, 2)
            parts += (b"m%d:" % len(plain), plain)
        elif kind is tuple or kind is list:
            self._lasts &= kind is tuple
            parts.append(b"(%d" % len(value))
            for each in value:
                self._tell(each, parts)
        elif isinstance(value, np.generic):
            _tell_array(np.asarray(value), parts)
        elif getattr(kind, "says_nothing", False):
            parts.append(b"-")
        elif is_still_class(kind):
            parts.append(self._once(value, self._tell_record))
        elif isinstance(value, Mapping):
            self._lasts = False
            self._tell(tuple(value.items()), parts)
        elif kind is frozenset:
            self._tell(tuple(sorted(value)), parts)
        else:
            raise TypeError(f"{kind.__name__} cannot be remembered: pass what it holds")

    def _tell_record(self, value: Any, parts: list[Any]) -> None:
        """Of a frozen dataclass: its type and all of its fields."""
        kind = type(value)
        parts.append(f"<{kind.__module__}.{kind.__qualname__}".encode())
        values = tuple(getattr(value, each.name) for each in fields(value))
        self._tell(values, parts)

    def _once(self, value: Any, tell: Callable[[Any, list[Any]], None]) -> bytes:
        """The digest of what does not change while this lives."""
        known = self._known.get(id(value))
        if known is None:
            around, self._lasts = self._lasts, True
            parts: list[Any] = []
            tell(value, parts)
            found = blake2b(b"".join(parts), digest_size=SIZE).digest()
            # The value is kept, so that its id stays its own.
            stays = self._lasts and type(value) is not np.ndarray
            known = self._known[id(value)] = _Known(value, found, self._lasts, stays)
            self._lasts = around
        self._used.add(id(value))
        self._lasts &= known.lasts
        return known.digest


class _Known(NamedTuple):
    """A value and its digest; whether it can never change, and is known from then on."""

    value: Any
    digest: bytes
    lasts: bool
    stays: bool


def is_still_class(kind: type) -> bool:
    """Whether it is a frozen dataclass."""
    made = getattr(kind, "__dataclass_params__", None)
    return made is not None and bool(made.frozen)


def _is_still(array: Any) -> bool:
    """Whether nobody can write to an array, neither by itself nor by the one that it looks into."""
    return array.base is None and not array.flags.writeable


def _is_plain(values: Iterable[Any]) -> bool:
    """Whether there is nothing in it but numbers, words and tuples of these."""
    values = tuple(values)
    kinds = set(map(type, values))
    if kinds <= _SIMPLE:
        return True
    if not kinds <= _NESTED:
        return False
    return _is_plain(chain.from_iterable(each for each in values if type(each) is tuple))


def _tell_array(value: Any, parts: list[Any]) -> None:
    if value.dtype.hasobject:
        raise TypeError("an array of objects cannot be remembered: pass numbers")
    flags = value.flags
    order = "C" if flags.c_contiguous else "F" if flags.f_contiguous else value.strides
    parts.append(f"[{value.dtype.str}{value.shape}{order}".encode())
    parts.append(value.data if flags.c_contiguous and value.size else value.tobytes("A"))


def _tell_text(value: str, parts: list[Any]) -> None:
    text = value.encode("utf-8", "surrogatepass")
    parts += (b"s%d:" % len(text), text)


_PLAIN: dict[type, Callable[[Any, list[Any]], None]] = {
    np.ndarray: _tell_array,
    str: _tell_text,
    float: lambda value, parts: parts.append(b"f" + struct.pack("<d", value)),
    int: lambda value, parts: parts.append(b"i%d;" % value),
    bool: lambda value, parts: parts.append(b"T" if value else b"F"),
    bytes: lambda value, parts: parts.extend((b"b%d:" % len(value), value)),
    type(None): lambda _value, parts: parts.append(b"N"),
}
