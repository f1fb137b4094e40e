# SPDX-License-Identifier: GPL-3.0-or-later
"""A field for the mass of a prop: it shows and sets the custom property that tells it.

The field itself is stored nowhere: what it reads and writes stands on the object, see
`sampling.masses`.
"""

from typing import Any

import bpy

from ..sampling.masses import mass_of, tell_mass
from .changes import note_declared
from .fixed import hangs_on_a_bone

FIELD = "plumbline_mass"


def _read(item: bpy.types.Object) -> float:
    return mass_of(item) or 0.0


def _write(item: bpy.types.Object, mass_kg: float) -> None:
    tell_mass(item, mass_kg)
    note_declared()


def register_mass() -> None:
    """Give objects the field."""
    field = bpy.props.FloatProperty(
        name="Mass (kg)",
        description=(
            "What this prop weighs, in kilograms: while it is held, the centre of mass is that of "
            "the body and of it; 0: not told"
        ),
        min=0.0,
        soft_max=100.0,
        step=10,
        precision=2,
        options=set(),
        get=_read,
        set=_write,
    )
    setattr(bpy.types.Object, FIELD, field)


def unregister_mass() -> None:
    """Take it back; what was told stays on the objects."""
    delattr(bpy.types.Object, FIELD)


def draw_mass(context: bpy.types.Context, layout: Any) -> None:
    """The field of the active object, where it hangs on a bone."""
    item = context.object
    if item is not None and hangs_on_a_bone(item):
        row = layout.row()
        row.enabled = item.library is None and item.override_library is None
        row.prop(item, FIELD, text=f"{item.name} Weighs (kg)", translate=False)
