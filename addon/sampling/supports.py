# SPDX-License-Identifier: GPL-3.0-or-later
"""Objects that bear weight: declared by the user, followed as one box each.

The declaration is a plain custom property of the object: it is saved with the file, comes along
where the object is linked or copied, and is read whether or not the extension is enabled.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import bpy
import numpy as np

from ...analysis.errors import PlumblineError
from .boxes import boxes_of
from .scene_facts import library_path

BEARS_WEIGHT = "plumbline_bears_weight"
# A figure does not stand on its own rig, and the others are nothing to stand on.
NO_GROUND = {
    "ARMATURE": "a rig",
    "CAMERA": "a camera",
    "LIGHT": "a light",
    "LIGHT_PROBE": "a light probe",
    "SPEAKER": "a speaker",
}


@dataclass(frozen=True, eq=False)
class Support:
    """An object that bears weight.

    name   what a clip calls it: its name, with its file where two share it
    cube   (4,4) takes the cube from -0.5 to 0.5 to the object's box, in its axes and units
    """

    item: bpy.types.Object
    name: str
    cube: Any


def bears_weight(item: bpy.types.Object) -> bool:
    """Whether an object is declared as bearing weight, and can."""
    return item.type not in NO_GROUND and item.get(BEARS_WEIGHT) in (True, 1)


def declared_supports(scene: bpy.types.Scene) -> list[bpy.types.Object]:
    """The objects of a scene that bear weight, shown or hidden, by name, local before linked."""
    found = [item for item in scene.objects if bears_weight(item)]
    return sorted(found, key=lambda item: (item.name, library_path(item) or ""))


def plan_supports(scene: bpy.types.Scene) -> tuple[Support, ...]:
    """Decide what bears weight, and measure each object's box once, as it looks now."""
    items = declared_supports(scene)
    shared = Counter(item.name for item in items)
    return tuple(
        Support(item, item.name if shared[item.name] == 1 else item.name_full, unit_cube_to(box))
        for item, box in zip(items, boxes_of(scene, items), strict=True)
    )


def unit_cube_to(box: Any) -> Any:
    """(4,4) from the cube from -0.5 to 0.5 to a box (2,3) of low and high corner."""
    matrix = np.diag([*(box[1] - box[0]), 1.0])
    matrix[:3, 3] = box.mean(axis=0)
    return matrix


class SupportReader:
    """Collects where supports stand: call `read` once a frame, then ask for `matrices`."""

    def __init__(self, supports: Sequence[Support], frames: range) -> None:
        self.supports = tuple(supports)
        self._frames = frames
        self._worlds = np.zeros((len(supports), len(frames), 4, 4))

    def read(self, at: int, depsgraph: Any) -> None:
        """Read frame number `at` (counted from 0) from an evaluated dependency graph."""
        for s, support in enumerate(self.supports):
            self._worlds[s, at] = np.array(support.item.evaluated_get(depsgraph).matrix_world)

    def matrices(self, unit: float) -> Any:
        """(S,T,4,4) from the cube to the box in the world, in metres of `unit` a Blender unit.

        None where nothing bears weight. Raises PlumblineError where an object has no position.
        """
        if not self.supports:
            return None
        self._refuse_broken()
        placed = self._worlds @ np.array([support.cube for support in self.supports])[:, None]
        placed[..., :3, :] *= unit
        return placed

    def _refuse_broken(self) -> None:
        bad = ~np.isfinite(self._worlds).all(axis=(2, 3))
        if bad.any():
            which, frame = np.argwhere(bad)[0]
            raise PlumblineError(
                f"{self.supports[which].name!r}, which bears weight, has no position at frame "
                f"{self._frames[frame]} (a transform that is no number), expected one on every "
                "frame: mend the constraint or driver that moves it."
            )
