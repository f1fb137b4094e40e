# SPDX-License-Identifier: GPL-3.0-or-later
"""Builds the clean shots inside Blender."""

import importlib
import os
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import bpy
import numpy as np

from analysis import Clip
from demo_scenes import registry
from demo_scenes.captured.fcurves import object_fcurves, write_keys
from demo_scenes.captured.motions import load_motion
from demo_scenes.rigify_human.build import build_human
from demo_scenes.rigify_human.keying import key_motion

from .bases import GRID, Base
from .curves import CurveGroup, GroupName, read_groups
from .inside import addon

HEIGHT_M = 1.7
OFFSET_FRAMES = 2
GRID_GAP = 3  # fewest frames between two poses of a grid
EXTREME, BREAKDOWN = 1, 2


@dataclass(eq=False)
class Take:
    """A base in the current scene: its rig, the clean clip, the clean keys by group."""

    base: Base
    scene: bpy.types.Scene
    rig: bpy.types.Object
    clip: Clip
    groups: dict[GroupName, CurveGroup]

    @property
    def first(self) -> int:
        """The first frame that plays."""
        return int(self.scene.frame_start)

    @property
    def last(self) -> int:
        """The last frame that plays."""
        return int(self.scene.frame_end)

    def sample(self) -> Clip:
        """The rig as it is animated now."""
        (clip,) = addon("sampling").sample(self.scene, [self.rig])
        return clip


def takes(bases: Iterable[Base], folder: Path, human: Path | None = None) -> Iterator[Take]:
    """Each base in turn; the rig of one is gone when the next one comes.

    They are built into files of the folder first, those that are not there yet: generating the
    Rigify human costs seconds, and so does keying it.
    human     a file with that one, as tall, and its body, if there is one
    """
    bases = list(bases)
    build_files([base for base in bases if not _file(folder, base).is_file()], folder, human)
    for base in bases:
        bpy.ops.wm.open_mainfile(filepath=str(_file(folder, base)), use_scripts=True)
        yield _take(base, _rig(base))


def build_files(bases: Sequence[Base], folder: Path, file: Path | None = None) -> None:
    """Build bases into files, all those on the Rigify human with one rig."""
    folder.mkdir(parents=True, exist_ok=True)
    human = [base for base in bases if base.rig == "rigify"]
    if human:
        rig = _new_human() if file is None else _human_of(file)
        for base in human:
            _key_human(rig, base)
            _save(folder, base)
    for base in bases:
        if base.rig == "porter":
            _build_porter(base)
            _save(folder, base)


def _new_human() -> bpy.types.Object:
    _empty_file()
    return build_human(height_m=HEIGHT_M, body=False)


def _human_of(file: Path) -> bpy.types.Object:
    bpy.ops.wm.open_mainfile(filepath=str(file), load_ui=False)
    rig = bpy.data.objects["human"]
    for body in rig.children:
        bpy.data.meshes.remove(body.data)  # takes the object with it
    return rig


def _file(folder: Path, base: Base) -> Path:
    return folder / f"{base.name.replace(' ', '_').replace(',', '')}.blend"


def _save(folder: Path, base: Base) -> None:
    """Write the file whole or not at all: another process may look for it."""
    path = _file(folder, base)
    part = path.with_suffix(f".{os.getpid()}.blend")
    bpy.ops.wm.save_as_mainfile(filepath=str(part), check_existing=False, copy=True)
    part.replace(path)


def _rig(base: Base) -> bpy.types.Object:
    return bpy.data.objects["human" if base.rig == "rigify" else "porter"]


def _take(base: Base, rig: bpy.types.Object) -> Take:
    scene = bpy.context.scene
    groups = read_groups(rig, scene.frame_start, scene.frame_end)
    (clip,) = addon("sampling").sample(scene, [rig])
    return Take(base, scene, rig, clip, groups)


def _key_human(rig: bpy.types.Object, base: Base) -> None:
    motion = load_motion(Path(os.environ["PLUMBLINE_CAPTURED"]), base.source)
    offset = 0 if base.keying == GRID else OFFSET_FRAMES
    key_motion(rig, motion, arms=base.arms, offset_frames=offset, fps=base.fps)


def _build_porter(base: Base) -> None:
    _empty_file()
    module = importlib.import_module(f"demo_scenes.{registry.TWO_PASSES[base.source].module}")
    rig = module.build(polished=True)
    if base.keying == GRID:
        key_on_one_grid(rig)


def key_on_one_grid(rig: bpy.types.Object) -> None:
    """Key every curve anew on the same pose frames, with automatic handles.

    The poses are the frames on which most curves are keyed, GRID_GAP frames apart or more; curves
    that have keys at their two ends alone (a mover's) stay.
    """
    curves = [each for each in object_fcurves(rig) if len(each.keyframe_points) > 2]
    counts: dict[int, int] = {}
    for curve in curves:
        for point in curve.keyframe_points:
            counts[round(point.co.x)] = counts.get(round(point.co.x), 0) + 1
    ends = min(counts), max(counts)
    chosen = list(ends)
    for frame in sorted(counts, key=lambda f: (-counts[f], f)):
        if all(abs(frame - other) >= GRID_GAP for other in chosen):
            chosen.append(frame)
    frames = np.array(sorted(chosen), dtype=np.float64)
    most = sorted(counts.values())[len(counts) // 2]
    types = [EXTREME if counts[int(frame)] >= most else BREAKDOWN for frame in frames]
    for curve in curves:
        values = [curve.evaluate(frame) for frame in frames]
        write_keys(curve, frames, values, key_types=types)


def _empty_file() -> None:
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
