# SPDX-License-Identifier: GPL-3.0-or-later
"""Which bones play which parts: corrected here, one part at a time, and kept with the rig."""

from typing import Any

import bpy

from ...analysis.errors import PlumblineError
from ...analysis.parts import label
from ...analysis.roles import TELLABLE, corrected_roles, without_other_side
from ...analysis.words import capital
from ..sampling.kept import why_not_kept
from ..sampling.scene_facts import is_rig
from ..sampling.told_parts import (
    PARTS,
    all_taken_away,
    part_doubts,
    tell_part,
    told_parts,
)
from . import last_check
from .operators import chosen_subject, refuse
from .session import session_of


def parts_rig(context: bpy.types.Context) -> bpy.types.Object | None:
    """The rig whose parts are meant; None where there is none, or a plain object is chosen."""
    try:
        chosen = chosen_subject(context, session_of(context).rig)
    except PlumblineError:
        active = context.object  # a rig that nothing moves yet has parts all the same
        return active if active is not None and is_rig(active) else None
    return chosen if is_rig(chosen) else None


def found_parts(context: bpy.types.Context, rig: bpy.types.Object) -> dict[str, str]:
    """part -> bone as the last check of a rig had it; empty where it was not checked."""
    check = last_check.check_of(context.scene, rig)
    if check is None:
        return {}
    roles = check.examination.basis.clip.meta.roles
    return {part: joints[0] for part, joints in roles.items() if joints[0] in rig.data.bones}


def shown_parts(context: bpy.types.Context, rig: bpy.types.Object) -> dict[str, str]:
    """part -> bone as a check would have it now, as far as that is known; empty for none."""
    told, found = told_parts(context.scene, rig), found_parts(context, rig)
    now = _with_told(context, rig, told)
    # What is told away, or to be a bone that is gone, is listed too, so that it can be taken back;
    # and so is what lost its bone to the part of the other side.
    lone = without_other_side(now, told) if found else {}
    shown = dict.fromkeys(lone, "") | told | now
    order = {part: n for n, part in enumerate(TELLABLE)}
    return dict(sorted(shown.items(), key=lambda each: (order.get(each[0], 99), each[0])))


def _with_told(
    context: bpy.types.Context, rig: bpy.types.Object, told: dict[str, str]
) -> dict[str, str]:
    """What was found with what is told in its place, as a check has it."""
    kept = {part: bone for part, bone in told.items() if not bone or bone in rig.data.bones}
    return corrected_roles(found_parts(context, rig), kept, [b.name for b in rig.data.bones])


def _bones(_self: Any, context: bpy.types.Context, _text: str) -> list[str]:
    rig = parts_rig(context)
    return [] if rig is None else [bone.name for bone in rig.data.bones]


def _active_bone(context: bpy.types.Context, rig: bpy.types.Object) -> str:
    active = rig.data.bones.active
    return "" if active is None else str(active.name)


class _OfPart:
    """What is done to a part of the chosen rig."""

    bl_options = {"REGISTER", "UNDO"}  # noqa: RUF012 - Blender reads this from the class

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only with a rig."""
        if parts_rig(context) is not None:
            return True
        cls.poll_message_set("Pick a rig first")  # type: ignore[attr-defined]
        return False

    def keep(
        self: Any, context: bpy.types.Context, bone: str | None, told: str, *, odd: str = ""
    ) -> set[str]:
        """Keep a correction and say so; `odd` is what is to be looked at, a sentence or empty."""
        rig = parts_rig(context)
        if rig is None:
            return refuse(self, "No rig is chosen, expected one: pick it in the panel.")
        if why := why_not_kept(context.scene, rig, PARTS):
            return refuse(self, why)
        tell_part(context.scene, rig, self.part, bone)
        if bone == "":
            left = _with_told(context, rig, told_parts(context.scene, rig))
            odd = "".join(all_taken_away(context.scene, rig, left))
        told = " ".join(filter(None, (told, odd, "Press Check to judge with it.")))
        self.report({"WARNING" if odd else "INFO"}, told)
        return {"FINISHED"}


_PART = {
    "name": "Part",
    "description": "The part of the figure",
    "items": [(part, capital(label(part)), "") for part in TELLABLE],
}


class PLUMBLINE_OT_tell_part(_OfPart, bpy.types.Operator):
    """Say which bone plays this part of the figure, where it was not found or is another one"""

    bl_idname = "plumbline.tell_part"
    bl_label = "Correct Part"

    part: bpy.props.EnumProperty(**_PART)
    bone: bpy.props.StringProperty(
        name="Bone",
        description="The bone of the rig that plays this part",
        search=_bones,
        options={"SKIP_SAVE"},
    )
    active: bpy.props.BoolProperty(
        name="Active Bone",
        description="Take the rig's active bone, without asking",
        options={"SKIP_SAVE"},
    )

    @classmethod
    def description(cls, _context: bpy.types.Context, properties: Any) -> str:
        """Of the button beside the name, what that one does."""
        return "Use the active bone for this part" if properties.active else str(cls.__doc__)

    def invoke(self, context: bpy.types.Context, _event: Any) -> Any:
        """Ask, beginning with the bone that plays it."""
        rig = parts_rig(context)
        if rig is None or self.active:
            return self.execute(context)
        self.bone = shown_parts(context, rig).get(self.part, "") or _active_bone(context, rig)
        return context.window_manager.invoke_props_dialog(self, confirm_text="Correct")

    def draw(self, _context: bpy.types.Context) -> None:
        """Both answers."""
        layout = self.layout
        layout.use_property_split = True
        layout.use_property_decorate = False
        layout.prop(self, "part")
        layout.prop(self, "bone", icon="BONE_DATA")

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Keep it with the rig, or say what is wrong with it."""
        rig = parts_rig(context)
        if rig is None:
            return refuse(self, "No rig is chosen, expected one: pick it in the panel.")
        bone = _active_bone(context, rig) if self.active else self.bone
        if bone not in rig.data.bones:
            found = f"{rig.name!r} has no bone {bone!r}" if bone else "No bone is chosen"
            return refuse(
                self,
                f"{found}, expected one that plays the {label(self.part)}: choose it from the "
                "list, or make it the active bone.",
            )
        told = told_parts(context.scene, rig)
        other = next((p for p, b in told.items() if b == bone and p != self.part), None)
        if other is not None and {other, self.part} != {"root", "pelvis"}:
            return refuse(
                self,
                f"{bone!r} is told to be the {label(other)} already, expected a bone of its own "
                f"for the {label(self.part)}: choose another one, or correct that part first.",
            )
        odd = self._odd(context, rig, bone)
        return self.keep(context, bone, f"{capital(label(self.part))} is {bone!r}.", odd=odd)

    def _odd(self, context: bpy.types.Context, rig: bpy.types.Object, bone: str) -> str:
        """What the bone played until now, and what looks swapped, in sentences; or empty."""
        told = told_parts(context.scene, rig)
        before = _with_told(context, rig, told)
        after = _with_told(context, rig, told | {self.part: bone})
        lost = [p for p, b in before.items() if b == bone and p != self.part and p not in after]
        was = f"It was the {label(lost[0])}, which no bone plays now." if lost else ""
        doubts = part_doubts(rig, after, {})
        swapped = next((each for each in doubts if "swapped" in each), "")
        return f"{was} {swapped}".strip()


class PLUMBLINE_OT_drop_part(_OfPart, bpy.types.Operator):
    """Say that the figure has no such part; it is not followed then"""

    bl_idname = "plumbline.drop_part"
    bl_label = "No Such Part"

    part: bpy.props.EnumProperty(**_PART)

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Take it away."""
        return self.keep(context, "", f"{capital(label(self.part))}: no such part.")


class PLUMBLINE_OT_find_part(_OfPart, bpy.types.Operator):
    """Take your correction back: this part is whichever bone is found by itself"""

    bl_idname = "plumbline.find_part"
    bl_label = "Found"

    part: bpy.props.EnumProperty(**_PART)

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Take the correction back."""
        return self.keep(context, None, f"{capital(label(self.part))}: as found.")
