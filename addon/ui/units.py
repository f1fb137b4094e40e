# SPDX-License-Identifier: GPL-3.0-or-later
"""Sentences in feet, inches and pounds, for who wants them: all that is measured, kept and written
is metric, and is converted here as it is shown.

1 in = 25.4 mm and 1 lb = 0.45359237 kg exactly, the international yard and pound (NIST Special
Publication 811, appendix B).
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

MM_PER_IN = 25.4
IN_PER_FT = 12.0
KG_PER_LB = 0.45359237
# As Blender shows them; `in` reads as a word in a sentence: "3 in up".
INCH = '"'
# What is said in these is a length to type as it stands, or one of no known size.
AS_IT_STANDS = ("scene metres", "expected metres")


@dataclass(frozen=True)
class _Unit:
    """What a metric unit is shown as: times `factor`, with so many digits more behind the point."""

    name: str
    factor: float
    digits: int


_UNITS = {
    "mm": _Unit(INCH, 1.0 / MM_PER_IN, 2),
    "cm": _Unit(INCH, 10.0 / MM_PER_IN, 0),
    "m": _Unit("ft", 1000.0 / MM_PER_IN / IN_PER_FT, -1),
    "mm/s": _Unit("in/s", 1.0 / MM_PER_IN, 2),
    "cm/s": _Unit("in/s", 10.0 / MM_PER_IN, 0),
    "m/s": _Unit("ft/s", 1000.0 / MM_PER_IN / IN_PER_FT, 0),
    "m/s2": _Unit("ft/s2", 1000.0 / MM_PER_IN / IN_PER_FT, 0),
    "kg": _Unit("lb", 1.0 / KG_PER_LB, 0),
}
# How many of each are a metre; a name has no quotes, so that inches are `in`.
CURVE_UNITS = {
    "m": 1.0,
    "cm": 100.0,
    "ft": 1000.0 / MM_PER_IN / IN_PER_FT,
    "in": 1000.0 / MM_PER_IN,
}
# Of Blender's units, those whose numbers are nearer to these than to metres and feet.
_CENTIMETRES, _INCHES = ("CENTIMETERS", "MILLIMETERS", "MICROMETERS"), ("INCHES", "THOU")
_NUMBER = r"\d+(?:\.\d+)?"
_QUOTED = r"""'[^']*'(?!\w)|"[^"]*"(?!\w)"""
# `3.1 cm`, and the lesser one of `9.6 to 18.6 m/s2`; never the 34 of `frames 31 to 34`.
_AMOUNT = re.compile(
    rf"(?<![\w.])(?:(?<!frame )(?<!frames )(?P<low>{_NUMBER}) to )?"
    rf"(?P<amount>{_NUMBER}) (?P<unit>[cm]?m(?:/s)?|m/s2|kg)(?![\w/])"
)
# Numbers that have the unit of one said before: `gravity gives 9.8`, `leaves at 0.4`.
_BARE = re.compile(
    rf"(?P<said>gravity gives |the others have |cm a frame, leaves at )(?P<amount>{_NUMBER})"
)
_BARE_UNITS = {"cm a frame, leaves at ": "cm"}


def in_feet(text: str, names: Iterable[str] = ()) -> str:
    """A sentence with its metric amounts in feet, inches and pounds, as exact as they were told.

    Names in quotes, these names (`plank 2 m`), frames and amounts of other units stay as they are,
    and so does a sentence without any.
    """
    if any(words in text for words in AS_IT_STANDS) or not _AMOUNT.search(text):
        return text
    told = sorted((name for name in names if name in text and _AMOUNT.search(name)), key=len)
    kept = "|".join([_QUOTED, *map(re.escape, reversed(told))])
    parts = re.split(f"({kept})", text)
    return "".join(part if n % 2 else _converted(part) for n, part in enumerate(parts))


def curve_unit(scene: Any, *, imperial: bool) -> str:
    """The unit of length that the curves of a scene are told in: one for all, as the scene has it
    where that fits."""
    told = scene.unit_settings
    if imperial:
        return "in" if told.system == "IMPERIAL" and told.length_unit in _INCHES else "ft"
    return "cm" if told.system == "METRIC" and told.length_unit in _CENTIMETRES else "m"


def curve_in(name: str, values: Any, unit: str) -> tuple[str, Any]:
    """A curve's name, `Root speed, m/s`, and its values in another unit of length (CURVE_UNITS),
    unless its own is none."""
    words, comma, told = name.rpartition(", ")
    if not comma or told not in ("m", "m/s"):
        return name, values
    return f"{words}, {unit}{told[1:]}", values * CURVE_UNITS[unit]


def _converted(text: str) -> str:
    return _AMOUNT.sub(_amount, _BARE.sub(_bare, text))


def _bare(found: re.Match[str]) -> str:
    unit = _BARE_UNITS.get(found["said"], "m/s2")
    if unit not in found.string:
        return found[0]
    return f"{found['said']}{_number(found['amount'], _UNITS[unit])}"


def _amount(found: re.Match[str]) -> str:
    unit = _UNITS[found["unit"]]
    low = f"{_number(found['low'], unit)} to " if found["low"] else ""
    gap = "" if unit.name == INCH else " "
    return f"{low}{_number(found['amount'], unit)}{gap}{unit.name}"


def _number(told: str, unit: _Unit) -> str:
    """The number in another unit: one digit more where it had only one that counts."""
    digits = max(len(told.partition(".")[2]) + unit.digits, 0)
    value = float(told) * unit.factor
    if value == 0.0:
        return told
    return f"{value:.{digits + (value * 10**digits < 9.5)}f}"
