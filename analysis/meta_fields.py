# SPDX-License-Identifier: GPL-3.0-or-later
"""Readers of the fields of a clip's `meta` entry: each returns a value, or says what is wrong."""

import json
from collections.abc import Callable, Sequence
from difflib import get_close_matches
from typing import Any

from .errors import FieldError
from .plain_text import number_text

LARGEST = 1e6
# How alike a key is to one that it misspells (of 1, as difflib has it): `hight_m` and `height_m`
# are by .93, `unread_events` and `events` by .63.
CLOSE = 0.8


def wrong(key: str, found: Any, expected: str) -> FieldError:
    """The error for a value that does not fit."""
    return FieldError(f"{key} is {shown(found)}, expected {expected}")


def no_misspelt_keys(key: str, item: dict[str, Any], expected: tuple[str, ...]) -> None:
    """Raise FieldError for a key of an object that looks like one of those expected, misspelt.

    Other keys that are not known are somebody's own (a note), and are left alone.
    """
    missing = [name for name in expected if name not in item]
    for name in item:
        if name not in expected and (meant := get_close_matches(name.lower(), missing, 1)):
            raise FieldError(f"{key} has the key {shown(name)}, expected {meant[0]}")


def meant(name: str, missing: Sequence[str]) -> str | None:
    """Which of the keys that are not there a key that is not known looks like, closely."""
    return next(iter(get_close_matches(name.lower(), missing, 1, CLOSE)), None)


def shown(value: Any) -> str:
    """A JSON value as a sentence quotes it: cut where it is long."""
    text = json.dumps(value, ensure_ascii=False)
    return text if len(text) <= 60 else text[:57] + "..."


def text(key: str) -> Callable[[Any], str]:
    """A reader of a text."""

    def read(value: Any) -> str:
        if not isinstance(value, str):
            raise wrong(key, value, "a text")
        return value

    return read


def choice(key: str, allowed: tuple[str, ...]) -> Callable[[Any], str]:
    """A reader of one of some texts."""

    def read(value: Any) -> str:
        if value not in allowed:
            raise wrong(key, value, f"one of {', '.join(allowed)}")
        return str(value)

    return read


def number(key: str, *, positive: bool = False) -> Callable[[Any], float]:
    """A reader of a finite number."""

    def read(value: Any) -> float:
        fits = isinstance(value, (int, float)) and not isinstance(value, bool)
        # Compared as it is: an integer of many digits does not fit into a float.
        if not fits or not -LARGEST < value < LARGEST or (positive and value <= 0):
            most = number_text(LARGEST)
            between = f"above 0, under {most}" if positive else f"between -{most} and {most}"
            raise wrong(key, value, f"a number {between}")
        return float(value)

    return read


def flag(key: str) -> Callable[[Any], bool]:
    """A reader of true or false."""

    def read(value: Any) -> bool:
        if not isinstance(value, bool):
            raise wrong(key, value, "true, false or null")
        return value

    return read


def names(key: str) -> Callable[[Any], tuple[str, ...]]:
    """A reader of a list of names, or of one name."""

    def read(value: Any) -> tuple[str, ...]:
        names = [value] if isinstance(value, str) else value
        if not isinstance(names, list) or not all(isinstance(name, str) for name in names):
            raise wrong(key, value, "a list of names")
        return tuple(names)

    return read


def objects(key: str, build: Callable[[dict[str, Any]], Any]) -> Callable[[Any], tuple[Any, ...]]:
    """A reader of a list of objects, each built by `build`."""

    def read(value: Any) -> tuple[Any, ...]:
        if not isinstance(value, list) or not all(isinstance(item, dict) for item in value):
            raise wrong(key, value, "a list of objects")
        return tuple(build(item) for item in value)

    return read


def three(key: str) -> Callable[[Any], tuple[float, float, float]]:
    """Reads three numbers."""
    one = number(key)

    def read(value: Any) -> tuple[float, float, float]:
        if not isinstance(value, list) or len(value) != 3:
            raise wrong(key, value, "three numbers or null")
        x, y, z = map(one, value)
        return x, y, z

    return read
