# SPDX-License-Identifier: GPL-3.0-or-later
"""Values that nobody can change any more, so that they can be given out again."""

import sys
from dataclasses import fields
from typing import Any

import numpy as np

from .digest import is_still_class

_PLAIN = (bool, int, float, str, bytes, type(None), np.generic)


def unchanging(value: Any) -> tuple[Any, int]:
    """The same value with arrays that can't be written to, and how many bytes it takes, about.

    Arrays that look into another one are copied, as that one may change. Raises TypeError for
    lists, dicts and objects of other kinds, which anybody can change.
    """
    if isinstance(value, _PLAIN):
        return value, sys.getsizeof(value)
    if isinstance(value, np.ndarray):
        return _frozen_array(value), int(value.nbytes) + 128
    if isinstance(value, tuple):
        every = [unchanging(each) for each in value]
        kind = type(value)
        parts = [each for each, _size in every]
        whole = tuple(parts) if kind is tuple else kind(*parts)
        return whole, 64 + sum(8 + size for _each, size in every)
    if is_still_class(type(value)):
        return _frozen_record(value)
    raise TypeError(f"{type(value).__name__} cannot be remembered: give a tuple or a frozen class")


def _frozen_record(value: Any) -> tuple[Any, int]:
    """A frozen dataclass with its arrays made so in place; nobody else has it yet."""
    size = 64
    for each in fields(value):
        before = getattr(value, each.name)
        now, more = unchanging(before)
        size += 8 + more
        if now is not before:
            object.__setattr__(value, each.name, now)
    return value, size


def _frozen_array(value: Any) -> Any:
    if not value.flags.writeable and value.base is None:
        return value
    if value.base is not None:
        value = value.copy(order="K")
    value.flags.writeable = False
    return value
