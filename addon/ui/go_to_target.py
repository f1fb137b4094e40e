# SPDX-License-Identifier: GPL-3.0-or-later
"""What a finding leads to: the control that makes it, its key, and what is said about both."""

from dataclasses import dataclass
from typing import Any

import bpy

from ...analysis import Finding
from ...analysis.basis import Basis
from ...analysis.cause import Cause
from ...analysis.moved_by import mover_of
from ...analysis.trails import finding_spot
from ...analysis.words import capital, frame_text
from ..causes.key_places import KeyPlace, keys_of, source_of
from ..causes.nearest_key import most_direct, nearest_key
from ..sampling.curves import Source, object_control
from ..sampling.scene_facts import time_stretch
from .hidden import holds
from .last_check import LastCheck

CAMERA = "camera"


@dataclass(frozen=True)
class Control:
    """owner    the rig, or another object that is keyed
    bone     the control, where it is one of the rig's bones
    name     what it is called
    cause    the cause that names it, or None
    """

    owner: bpy.types.Object
    bone: str | None
    name: str
    cause: Cause | None = None


@dataclass(frozen=True)
class Target:
    """source   the action or strip that holds the control's key on the finding's frame, or nearest
             to it; None where none does
    places   that key, on all its curves; empty where it is on another frame
    says     a sentence about control and key
    """

    control: Control
    source: Source | None
    places: tuple[KeyPlace, ...]
    says: str


def control_of(scene: bpy.types.Scene, check: LastCheck, finding: Finding) -> Control | None:
    """The control of the first cause that names one, else of the advice; where neither does, the
    one that moves the part to mend most directly, or else what that hangs on, else the part's own
    bone. None where the rig, or the camera of a finding about it, is gone.
    """
    rig = check.rig_in(scene)
    if finding.part == CAMERA:
        camera = scene.camera
        return None if camera is None else Control(camera, None, object_control(camera))
    if rig is None:
        return None
    cause = next((each for each in finding.causes if each.control), None)
    name = advised(finding)[0] if cause is None else cause.control
    if name is None:
        basis = check.examination.basis
        name = _moving(basis, _body(check, finding), mover_of(basis, finding))
    if rig.pose is not None and name in rig.pose.bones:
        return Control(rig, name, name, cause)
    # Another object's key that moves the rig, else the rig as an object.
    owner = rig if name == object_control(rig) else scene.objects.get(name, rig)
    return Control(owner, None, name if owner == rig else object_control(owner), cause)


def target_of(scene: bpy.types.Scene, control: Control, finding: Finding) -> Target:
    """The key of a control that makes a finding: its cause's, else the one on its frame."""
    owner, cause = control.owner, control.cause
    if cause is not None and (places := keys_of(owner, cause)):
        source = source_of(owner, cause)
        told = f"{cause.title}: selected.{_where(owner, source)}"
        return Target(control, source, tuple(places), told)
    frame = finding.peak_frame
    near = nearest_key(owner, control.name, frame, stretch=time_stretch(scene))
    there = advised(finding)[1]
    if near is not None and not near.is_on(frame) and there is not None:
        at = nearest_key(owner, control.name, there, stretch=time_stretch(scene))
        near, frame = (at, there) if at is not None and at.is_on(there) else (near, frame)
    if near is None:
        return Target(control, None, (), f"{control.name} is selected; it has no keys that play.")
    if near.is_on(frame):
        told = f"{control.name}, key {_told(near.frame)}: selected.{_where(owner, near.source)}"
        return Target(control, near.source, near.places, told)
    told = (
        f"{control.name} is selected; it has no key at frame {_told(frame)}, the nearest one is "
        f"at {_told(near.frame)}.{_where(owner, near.source)}"
    )
    return Target(control, near.source, (), told)


def advised(finding: Finding) -> tuple[str | None, float | None]:
    """The control and the frame of the key that a finding's advice is about, as far as it says."""
    told = finding.suggestion
    if told is None:
        return None, None
    if told.edits:
        return told.edits[0].control, told.edits[0].frame
    return (None, told.frame) if told.key is None else (told.key.control, told.key.frame)


def _body(check: LastCheck, finding: Finding) -> int:
    """The part to mend, which another one may show; what shows a finding of the whole figure, and
    the whole body for the centre of mass."""
    basis = check.examination.basis
    for title in (finding.owner, finding_spot(check.examination, finding).title):
        for n, body in enumerate(basis.bodies):
            if body.title == title:
                return n
    return basis.lead


def _moving(basis: Basis, body: int, mover: int | None) -> str:
    """The control that moves a body most directly, by what of its limb moves it where that is told,
    or else what it hangs on, such as the hand that holds it; its own joint where no curve does."""
    joints = [basis.clip.joints[basis.bodies[n].joint] for n in (body, *basis.ancestors(body))]
    curves = basis.clip.meta.curves
    found = [most_direct(curves, joint) for joint in joints]
    if mover is not None:
        turned = basis.clip.joints[basis.bodies[mover].joint]
        found.insert(0, most_direct(curves, turned, also=joints[0]))
    return next((name for name in found if name is not None), joints[0])


def _told(frame: float) -> str:
    """Frames that are whole but for Blender's rounding are told so."""
    return frame_text(round(frame, 2))


def _where(owner: bpy.types.Object, source: Source | None) -> str:
    """Where a strip holds the key: the strip, and how its keys come into sight."""
    if source is None or source.strip is None:
        return ""
    data: Any = owner.animation_data
    told = f" It is in the strip {source.strip!r}"
    if data.use_tweak_mode:
        return f"{told}."
    return f"{told}: press Tab over it in the Nonlinear Animation editor to see its keys."


def why_not_selected(context: bpy.types.Context, control: Control) -> str:
    """Why a control cannot be selected now, as a sentence; empty where it can."""
    owner = control.owner
    if context.mode not in ("OBJECT", "POSE"):
        return f"Only the playhead moved: leave {_mode_name(context)} to select {control.name}."
    if not holds(context.view_layer.objects, owner) or not owner.visible_get():
        return (
            f"Only the playhead moved: {owner.name!r} is hidden. Press Show below the list to see "
            "it."
        )
    return ""


def _mode_name(context: bpy.types.Context) -> str:
    """Edit Mode, Weight Paint: as Blender's own menu has it."""
    item: Any = context.object
    if item is None:
        return capital(context.mode.replace("_", " ").lower())
    modes: Any = item.bl_rna.properties["mode"]
    return str(modes.enum_items[item.mode].name)
