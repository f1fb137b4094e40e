# SPDX-License-Identifier: GPL-3.0-or-later
"""What a prop weighs: told by a custom property on the object, in kilograms."""

from collections.abc import Iterable

import bpy

from ...analysis.errors import FieldError
from ...analysis.meta_fields import number
from ...analysis.notices import first_few

# The user sets it on an object that is heavy: a hammer, a crate that is carried.
MASS = "plumbline_mass_kg"
# As a clip's own `mass_kg` is read, or a file with it would not load again.
_READ = number(MASS, positive=True)


def mass_of(item: bpy.types.Object) -> float | None:
    """Kilograms, or None where nothing, or nothing that can be read, is told."""
    return None if not _is_told(item) or _why_unread(item) else float(item[MASS])


def tell_mass(item: bpy.types.Object, mass_kg: float) -> None:
    """Tell it; nothing, or less than a tenth of a gram, takes it back."""
    rounded = round(mass_kg, 4)  # Blender's fields hold float32
    if rounded > 0.0:
        item[MASS] = rounded
    elif _is_told(item):
        del item[MASS]


def unread_masses(items: Iterable[bpy.types.Object]) -> list[str]:
    """What stands where masses are told and is none, a sentence each: what was found, what was
    expected, what to do."""
    return first_few(
        [
            f"Of {item.name!r} the property {why}, in kilograms: it counts as without a mass; "
            "correct or delete it."
            for item in items
            if _is_told(item) and (why := _why_unread(item))
        ]
    )


def _is_told(item: bpy.types.Object) -> bool:
    """Whether the property stands on the object, readable or not."""
    return item.get(MASS) is not None


def _why_unread(item: bpy.types.Object) -> str:
    """What is wrong with what is told, in words; empty where nothing is."""
    told = item[MASS]
    if not isinstance(told, bool | int | float | str):  # what Blender wraps: an array, a group
        told = type(told).__name__
    try:
        _READ(told)
    except FieldError as error:
        return error.what
    return ""
