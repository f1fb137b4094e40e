# SPDX-License-Identifier: GPL-3.0-or-later
"""Objects that bear weight: declared by the user, followed as a box for each of their loose
parts; another character as a box for each bone that moves a part of its body.

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
from .body_boxes import body_boxes
from .boxes import boxes_of
from .fitted_box import unit_cube_to
from .scene_facts import is_rig, library_path

BEARS_WEIGHT = "plumbline_bears_weight"
# Nothing to stand on; nor are rigs plain objects, but others may stand on theirs.
NO_SUPPORT = {
    "CAMERA": "a camera",
    "LIGHT": "a light",
    "LIGHT_PROBE": "a light probe",
    "SPEAKER": "a speaker",
}
NO_GROUND = {"ARMATURE": "a rig", **NO_SUPPORT}


@dataclass(frozen=True, eq=False)
class Support:
    """An object that bears weight, a part of one, or a bone of a rig that does.

    name   what a clip calls it: its name, with its file where two share it; parts share theirs
    cube   (4,4) takes the cube from -0.5 to 0.5 to the box, in the object's axes and units
    bone   of a rig: the bone whose axes are meant
    """

    item: bpy.types.Object
    name: str
    cube: Any
    bone: str = ""


def bears_weight(item: bpy.types.Object) -> bool:
    """Whether an object is declared as bearing weight, and can."""
    return item.type not in NO_SUPPORT and item.get(BEARS_WEIGHT) in (True, 1)


def declared_supports(scene: bpy.types.Scene) -> list[bpy.types.Object]:
    """The objects of a scene that bear weight, shown or hidden, by name, local before linked."""
    found = [item for item in scene.objects if bears_weight(item)]
    return sorted(found, key=lambda item: (item.name, library_path(item) or ""))


def plan_supports(scene: bpy.types.Scene) -> tuple[Support, ...]:
    """Decide what bears weight, and measure each object's boxes once, as it looks now."""
    declared = declared_supports(scene)
    shared = Counter(item.name for item in declared)
    names = {each: each.name if shared[each.name] == 1 else each.name_full for each in declared}
    items = [item for item in declared if not is_rig(item)]
    boxes = zip(items, boxes_of(scene, items), strict=True)
    return (
        *(Support(item, names[item], cube) for item, of in boxes for cube in of),
        *(
            Support(rig, f"{names[rig]} ({bone})", unit_cube_to(box), bone)
            for rig in declared
            if is_rig(rig)
            for bone, box in body_boxes(rig).items()
        ),
    )


class SupportReader:
    """Collects where supports stand: call `read` once a frame, then ask for `matrices`."""

    def __init__(self, supports: Sequence[Support], frames: range) -> None:
        self.supports = tuple(supports)
        self._frames = frames
        self._worlds = np.zeros((len(supports), len(frames), 4, 4))

    @property
    def worlds(self) -> Any:
        """(T,S,4,4) where they stand, to be read and written to."""
        return self._worlds.swapaxes(0, 1)

    @property
    def rigs(self) -> list[bpy.types.Object]:
        """The rigs that bear weight: they have to be posed."""
        return list(dict.fromkeys(each.item for each in self.supports if each.bone))

    @property
    def placed(self) -> list[bpy.types.Object]:
        """The other objects, of which only the place counts."""
        return list(dict.fromkeys(each.item for each in self.supports if not each.bone))

    def read(self, at: int, depsgraph: Any) -> None:
        """Read frame number `at` (counted from 0) from an evaluated dependency graph."""
        seen = {item: item.evaluated_get(depsgraph) for item in (*self.rigs, *self.placed)}
        worlds = {item: np.array(each.matrix_world) for item, each in seen.items()}
        for s, support in enumerate(self.supports):
            self._worlds[s, at] = worlds[support.item]
            if support.bone:
                bone = seen[support.item].pose.bones[support.bone]
                self._worlds[s, at] @= np.array(bone.matrix)

    def of(self, figure: bpy.types.Object) -> list[int]:
        """Which supports may bear a figure: all but its own body."""
        return [s for s, support in enumerate(self.supports) if support.item != figure]

    def names(self, figure: bpy.types.Object) -> tuple[str, ...]:
        """What those are called."""
        return tuple(self.supports[s].name for s in self.of(figure))

    def matrices(self, unit: float, figure: bpy.types.Object) -> Any:
        """(S,T,4,4) from the cube to the box in the world, in metres of `unit` a Blender unit.

        Those that may bear the figure; None where nothing does. Raises PlumblineError where an
        object has no position.
        """
        ours = self.of(figure)
        if not ours:
            return None
        self._refuse_broken(ours)
        cubes = np.array([self.supports[s].cube for s in ours])[:, None]
        placed = self._worlds[ours] @ cubes
        placed[..., :3, :] *= unit
        return placed

    def _refuse_broken(self, ours: list[int]) -> None:
        bad = ~np.isfinite(self._worlds[ours]).all(axis=(2, 3))
        if bad.any():
            which, frame = np.argwhere(bad)[0]
            name = self.supports[ours[which]].name
            raise PlumblineError(
                f"{name!r}, which bears weight, has no position at frame {self._frames[frame]} "
                "(a transform that is no number), expected one on every frame: mend the "
                "constraint or driver that moves it."
            )
