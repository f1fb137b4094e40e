# SPDX-License-Identifier: GPL-3.0-or-later
"""Do keys change after a check? Then its answers are about a motion that is no more.

Blender says which kinds of data an update touched: moving the playhead, playing, selecting and
posing without keys touch no action, so this costs nothing while they go on.
"""

import bpy

from ..sphere.ours import is_ours
from . import last_check
from .last_check import LastCheck
from .redraw import redraw_viewports

# The serial number of the check after which keys have changed.
_old = [0]


def is_old(check: LastCheck | None) -> bool:
    """Whether keys have changed in the check's scene since it was made."""
    return check is not None and check.serial == _old[0]


@bpy.app.handlers.persistent
def watch_keys(scene: bpy.types.Scene, depsgraph: bpy.types.Depsgraph) -> None:
    """After each update of a scene: notice, once, that keys have changed."""
    check = last_check.last_check()
    if check is None or is_old(check) or not depsgraph.id_type_updated("ACTION"):
        return
    if scene.session_uid != check.scene_uid:
        return
    changed = (update.id for update in depsgraph.updates)
    # The keys of our own sphere follow the motion and are no part of it.
    if any(isinstance(block, bpy.types.Action) and not is_ours(block) for block in changed):
        _old[0] = check.serial
        redraw_viewports(bpy.context)
