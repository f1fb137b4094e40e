# SPDX-License-Identifier: GPL-3.0-or-later
"""What a finding leads to: the control that makes it, its key, and what is said about both."""

from dataclasses import dataclass
from typing import Any

import bpy

from ...analysis import Finding
from ...analysis.cause import Cause
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
class Target:
    """owner    the rig, or another object that is keyed
    bone     the control, where it is one of the rig's bones
    control  what it is called
    source   the action or strip that holds its key on the finding's frame; None where none does
    places   that key, on all its curves
    says     a sentence about control and key
    """

    owner: bpy.types.Object
    bone: str | None
    control: str
    source: Source | None
    places: tuple[KeyPlace, ...]
    says: str


def target_of(scene: bpy.types.Scene, check: LastCheck, finding: Finding) -> Target | None:
    """The control of the first cause that names one; where causes are not known, the one that
    moves the finding's joint most directly, else the joint's own bone. None where the rig, or
    the camera of a finding about it, is gone.
    """
    rig = check.rig_in(scene)
    if finding.part == CAMERA:
        camera = scene.camera
        return None if camera is None else _near(scene, camera, object_control(camera), finding)
    if rig is None:
        return None
    cause = next((each for each in finding.causes if each.control), None)
    if cause is not None and (places := keys_of(rig, cause)):
        return _of_cause(rig, cause, tuple(places))
    control = None if cause is None else cause.control
    if control is None:
        joint = _joint(check, finding)
        curves = check.examination.basis.clip.meta.curves
        control = most_direct(curves, joint) or joint
    owner = rig
    if not _is_of(rig, control):
        owner = scene.objects.get(control, rig)
    return _near(scene, owner, control if owner is rig else object_control(owner), finding)


def _joint(check: LastCheck, finding: Finding) -> str:
    """The joint that shows a finding; that of the whole body for the centre of mass."""
    basis = check.examination.basis
    title = finding_spot(check.examination, finding).title
    body = next((each for each in basis.bodies if each.title == title), basis.bodies[basis.lead])
    return basis.clip.joints[body.joint]


def _is_of(rig: bpy.types.Object, control: str) -> bool:
    return control == object_control(rig) or (rig.pose is not None and control in rig.pose.bones)


def _bone(owner: bpy.types.Object, control: str) -> str | None:
    return control if owner.pose is not None and control in owner.pose.bones else None


def _of_cause(rig: bpy.types.Object, cause: Cause, places: tuple[KeyPlace, ...]) -> Target:
    assert cause.control is not None
    source = source_of(rig, cause)
    says = f"{cause.title}: selected.{_where(rig, source)}"
    return Target(rig, _bone(rig, cause.control), cause.control, source, places, says)


def _near(
    scene: bpy.types.Scene, owner: bpy.types.Object, control: str, finding: Finding
) -> Target:
    """A control with its key on the finding's frame, or with a word on the nearest one."""
    frame, bone = finding.peak_frame, _bone(owner, control)
    near = nearest_key(owner, control, frame, stretch=time_stretch(scene))
    if near is None:
        told = f"{control} is selected; it has no keys that play."
        return Target(owner, bone, control, None, (), told)
    if near.is_on(frame):
        told = f"{control}, key {_told(near.frame)}: selected.{_where(owner, near.source)}"
        return Target(owner, bone, control, near.source, near.places, told)
    told = (
        f"{control} is selected; it has no key at frame {_told(frame)}, the nearest one is at "
        f"{_told(near.frame)}.{_where(owner, near.source)}"
    )
    return Target(owner, bone, control, near.source, (), told)


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


def why_not_selected(context: bpy.types.Context, target: Target) -> str:
    """Why a control cannot be selected now, as a sentence; empty where it can."""
    owner = target.owner
    if context.mode not in ("OBJECT", "POSE"):
        return f"Only the playhead moved: leave {_mode_name(context)} to select {target.control}."
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
