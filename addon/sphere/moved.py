# SPDX-License-Identifier: GPL-3.0-or-later
"""What moves a ball besides its own keys: then its keys are not its path."""

from typing import Any

import bpy

from ...analysis import PlumblineError

# How the constraints of a ball that follows its rig begin: they are ours.
OURS = "Plumbline"


def own_constraints(sphere: bpy.types.Object) -> list[bpy.types.Constraint]:
    """The constraints by which a ball follows its rig."""
    return [each for each in sphere.constraints if each.name.startswith(OURS)]


def refuse_moved(sphere: bpy.types.Object) -> None:
    """Raise PlumblineError where more than keys moves a ball away from its path.

    What makes it follow its rig is not meant.
    """
    data: Any = sphere.animation_data
    movers = {
        "a parent": sphere.parent is not None,
        "constraints": len(sphere.constraints) > len(own_constraints(sphere)),
        "a delta transform": sphere.delta_location.length > 0.0,
        "NLA strips": data is not None and len(data.nla_tracks) > 0,
        "drivers": data is not None and len(data.drivers) > 0,
    }
    found = [what for what, there in movers.items() if there]
    if found:
        raise PlumblineError(
            f"{sphere.name!r} is moved by {' and '.join(found)} as well, expected its own keys "
            "alone: take that away, or remove the sphere first."
        )
