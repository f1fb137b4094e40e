# SPDX-License-Identifier: GPL-3.0-or-later
"""From a finding to what bears weight there: what is selected, else what is below the foot."""

from typing import Any

import bpy
import numpy as np

from ...analysis import Finding
from ...analysis.parts import label, split_part
from ...analysis.pipeline import Examination
from ...analysis.square_view import sample_at
from ...analysis.words import frame_text
from ..sampling.scene_facts import rig_of
from . import last_check
from .causes_session import chosen_finding
from .go_to_panel import BEAR_FOUND, OF_CONTACT
from .ground import bear_weight, why_not_bearing
from .operators import refuse

# Shares of the figure's height: from how far above a foot's joint, and how far below it, what it
# stands on is looked for (common practice, no source: up to the knee, down to a high step).
ABOVE, BELOW = 0.2, 0.4
# A ray that has gone through so many things of the figure's own goes no further.
_MOST_HITS = 64
# Blender holds subframes as float32; half a frame off, the scene stands elsewhere.
_SAME_FRAME = 0.5


class PLUMBLINE_OT_bear_found(bpy.types.Operator):
    """Let the selected objects, or else what is below the foot now, bear weight from now on"""

    bl_idname = BEAR_FOUND
    bl_label = "Bears Weight"
    bl_options = {"REGISTER", "UNDO"}  # noqa: RUF012 - Blender reads this from the class

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only for what a contact may be to blame for."""
        finding = chosen_finding(context)
        if finding is not None and finding.check in OF_CONTACT:
            return True
        cls.poll_message_set("Pick a finding about feet, balance or flight")
        return False

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Declare it and say what was."""
        finding, check = chosen_finding(context), last_check.last_check()
        rig = None if check is None else check.rig_in(context.scene)
        if finding is None or check is None or rig is None:
            return refuse(self, "No finding is read, expected one: pick a line of the list.")
        chosen = [item for item in context.selected_objects if not _is_of(rig, item)]
        if any(not why_not_bearing(item) for item in chosen):
            return bear_weight(self, chosen, "Nothing selected")
        frame = frame_text(finding.peak_frame)
        if abs(context.scene.frame_current_final - finding.peak_frame) > _SAME_FRAME:
            return refuse(
                self,
                "The playhead is elsewhere, expected the finding's frame, so that the scene "
                f"stands as it does there: go to frame {frame}, or select what bears.",
            )
        part, item = below_foot(context, rig, check.examination, finding, check.metres_per_unit)
        if item is None:
            return refuse(
                self,
                f"Nothing is below the {part} at frame {frame}, expected what it stands on: select "
                "that, and press again.",
            )
        where = f": it is below the {part} at frame {frame}"
        return bear_weight(self, [item], "What is below", where)


def below_foot(
    context: bpy.types.Context,
    rig: bpy.types.Object,
    examination: Examination,
    finding: Finding,
    metres_per_unit: float,
) -> tuple[str, bpy.types.Object | None]:
    """Words for a foot, and what is nearest below it in the scene as it stands now, or None.

    Of the finding's own leg, else of the foot that has something nearest below. Another character
    counts with all of its body, as its rig.
    """
    basis = examination.basis
    at = sample_at(basis.frames, finding.peak_frame)
    height = basis.height.scene_m / metres_per_unit
    found = []
    for part in _feet(examination, finding):
        body = basis.body(part)
        assert body is not None
        point = basis.positions[at, body] / metres_per_unit
        hit = _hit_below(context, rig, point, height)
        if hit is not None:
            found.append((hit[0], label(part), hit[1]))
    if not found:
        feet = _feet(examination, finding)
        return (label(feet[0]) if len(feet) == 1 else "feet"), None
    _away, words, item = min(found, key=lambda each: each[0])
    return words, item


def _feet(examination: Examination, finding: Finding) -> list[str]:
    """The foot of the finding's leg, else both; ankles stand for feet that are not known."""
    basis = examination.basis
    side = split_part(finding.part or "")[1]
    sides = (side,) if side in ("L", "R") else ("L", "R")
    found = []
    for each in sides:
        names = (f"foot.{each}", f"toe.{each}", f"shin.{each}")
        found += [name for name in names if basis.body(name) is not None][:1]
    return found


def _hit_below(
    context: bpy.types.Context, rig: bpy.types.Object, point: Any, height: float
) -> tuple[float, bpy.types.Object] | None:
    """How far from a point, and what, a ray meets straight below it that is not the figure's."""
    depsgraph = context.evaluated_depsgraph_get()
    at = np.array(point, dtype=np.float64) + [0.0, 0.0, ABOVE * height]
    left = (ABOVE + BELOW) * height
    for _hit in range(_MOST_HITS):
        met, place, _normal, _index, item, _matrix = context.scene.ray_cast(
            depsgraph, at.tolist(), (0.0, 0.0, -1.0), distance=left
        )
        if not met:
            return None
        item = item.original
        if not _is_of(rig, item) and not why_not_bearing(rig_of(item) or item):
            return abs(float(place[2]) - float(point[2])), rig_of(item) or item
        step = float(at[2] - place[2]) + 1e-4 * height
        at[2] -= step
        left -= step
        if left <= 0.0:
            return None
    return None


def _is_of(rig: bpy.types.Object, item: bpy.types.Object) -> bool:
    """Whether an object is the figure itself, its surface, or something that it carries."""
    return item == rig or rig_of(item) == rig
