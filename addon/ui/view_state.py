# SPDX-License-Identifier: GPL-3.0-or-later
"""How 3D views stood before they were turned: kept while Blender runs, one for each area.

Nothing of it goes into the file. An area that is closed, or that shows another editor by then, is
forgotten at the next file that is opened.
"""

from dataclasses import dataclass
from typing import Any

import bpy

# In the order in which they are set again: what the view looks through comes last.
_OF_REGION = (
    "lock_rotation",
    "view_location",
    "view_rotation",
    "view_distance",
    "view_camera_zoom",
    "view_camera_offset",
    "is_orthographic_side_view",
    "view_perspective",
)
_OF_SPACE = ("lens", "lock_camera", "lock_cursor", "lock_object", "lock_bone")


@dataclass(frozen=True)
class ViewState:
    """region  values of the view that is turned
    space   those of the editor around it
    """

    region: dict[str, Any]
    space: dict[str, Any]


_before: dict[int, ViewState] = {}


def turning_region(space: Any) -> Any:
    """The view of an editor that is turned: of four, the one that no axis is locked in."""
    quads = list(space.region_quadviews)
    return quads[-1] if quads else space.region_3d


def remember_view(area: bpy.types.Area) -> None:
    """Keep how an area's view stands, unless it is kept from before it was first turned."""
    if area.as_pointer() not in _before:
        _before[area.as_pointer()] = state_of(area.spaces.active)


def state_of(space: Any) -> ViewState:
    """How a 3D view stands now."""
    region = turning_region(space)
    return ViewState(
        region={name: _plain(getattr(region, name)) for name in _OF_REGION},
        space={name: getattr(space, name) for name in _OF_SPACE},
    )


def has_view(area: bpy.types.Area | None) -> bool:
    """Whether an area's view was turned and can be turned back."""
    return area is not None and area.type == "VIEW_3D" and area.as_pointer() in _before


def restore_view(area: bpy.types.Area) -> None:
    """Turn an area's view back, exactly; it is forgotten then."""
    state = _before.pop(area.as_pointer())
    space: Any = area.spaces.active
    region = turning_region(space)
    for name, value in state.space.items():
        _set(space, name, value)
    for name, value in state.region.items():
        _set(region, name, value)


def forget_views() -> None:
    """Forget all of them: another file has other areas."""
    _before.clear()


@bpy.app.handlers.persistent
def forget_views_on_load(_file: str, _unused: Any = None) -> None:
    """A file that has just been opened has areas of its own."""
    forget_views()


def _plain(value: Any) -> Any:
    """Numbers instead of what Blender would change under us."""
    return tuple(value) if hasattr(value, "__len__") and not isinstance(value, str) else value


def _set(owner: Any, name: str, value: Any) -> None:
    """An object may be gone by now, and what stands as it is needs no setting."""
    try:
        if _plain(getattr(owner, name)) != value:
            setattr(owner, name, value)
    except ReferenceError:
        pass
