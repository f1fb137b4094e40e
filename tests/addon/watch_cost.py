# SPDX-License-Identifier: GPL-3.0-or-later
"""What an update of Watch costs beside a full check, on a long shot of a large rig.

    python -m tests.addon.watch_cost        with a Python that has Blender's module

The Rigify jump, keyed anew on every 8th of 250 frames with clamped handles. After each edit of a
key both are made, one after the other; their answers must be the same. No part of the tests.
"""

import os
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path
from statistics import median
from time import perf_counter, process_time
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from tests.harness import extension  # noqa: E402
from tests.harness.captured_data import captured_variable  # noqa: E402
from tests.harness.single_copy import take_over_imports  # noqa: E402

LAST, EVERY = 250, 8
# Whose keys are edited, on which frames. An edit changes 33 frames around it: where these hold the
# middle of the shot, controls are nudged anew, which one edit in eight does by chance.
CONTROLS = ("torso", "hand_ik.R", "foot_ik.L", "chest")
FRAMES = (41, 89, 201)
EDITS = (*((control, frame) for control in CONTROLS for frame in FRAMES), ("hand_ik.R", 129))


@dataclass(frozen=True)
class Cost:
    """Seconds of the process and of the clock, and frames that were evaluated."""

    process: float
    wall: float
    sampled: int = 0


def build() -> Any:
    """The shot, in an emptied file; returns the rig."""
    import bpy

    from demo_scenes import rigify_jump

    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    rig = rigify_jump.build(False)
    scene = bpy.context.scene
    length = scene.frame_end - scene.frame_start
    for curve in curves_of(rig):
        frames = [float(frame) for frame in range(1, LAST + 1, EVERY)]
        worth = [curve.evaluate((frame - 1) % length + 1) for frame in frames]
        curve.keyframe_points.clear()
        for frame, value in zip(frames, worth, strict=True):
            key = curve.keyframe_points.insert(frame, value)
            key.interpolation = "BEZIER"
            key.handle_left_type = key.handle_right_type = "AUTO_CLAMPED"
        curve.update()
    scene.frame_start, scene.frame_end = 1, LAST
    bpy.context.view_layer.update()
    return rig


def curves_of(rig: Any) -> list[Any]:
    """The curves of its action, wherever this version keeps them."""
    from demo_scenes.captured.fcurves import object_fcurves

    return list(object_fcurves(rig))


def edit(rig: Any, control: str, frame: int) -> bool:
    """Move the keys of a control on the key frame nearest to this; whether it has some."""
    import bpy

    path = f'pose.bones["{control}"].location'
    found = [curve for curve in curves_of(rig) if curve.data_path == path]
    found = found or [c for c in curves_of(rig) if f'["{control}"]' in c.data_path]
    for curve in found[:2]:
        key = min(curve.keyframe_points, key=lambda each: abs(each.co.x - frame))
        key.co_ui.y += 0.02
        curve.update()
    rig.animation_data.action.update_tag()
    bpy.context.view_layer.update()
    return bool(found)


def unwatched(ui: Any) -> Any:
    """A check as it is pressed while nothing is watched: nothing of it is kept for later."""
    import bpy

    check = ui.one_check.Check(bpy.context)
    check._keeps = False
    return check


def timed(check: Any) -> Cost:
    """What a check costs from the first step until its answers are shown."""
    import bpy

    process, wall = process_time(), perf_counter()
    check = check()
    while not check.step():
        pass
    check.take(bpy.context)
    spent = process_time() - process, perf_counter() - wall
    return Cost(*spent, check.reading.sampled if check.reading is not None else LAST)


def main() -> int:
    """Measure and print; 1 where the answers of an update are others than those of a check."""
    os.environ.update(captured_variable())
    extension.enable_checkout(Path(tempfile.mkdtemp()))  # Blender's module begins here
    take_over_imports(ROOT, extension.PACKAGE)
    import bpy

    ext = extension.package()
    rig, session = build(), bpy.context.window_manager.plumbline
    ui, readings = ext.addon.ui, ext.addon.watch.readings
    session.watch = True
    timed(lambda: ui.one_check.Check(bpy.context))
    numbers = (bpy.context.scene.session_uid, rig.session_uid)
    found, wrong = {}, 0
    for control, frame in EDITS:
        if not edit(rig, control, frame):
            continue
        update = timed(lambda: ui.one_check.Check(bpy.context, rig=rig, watched=True))
        answers = answers_of(ui)
        held = readings.last_of(numbers), readings.memory_of(numbers)
        full = timed(lambda: unwatched(ui))
        wrong += answers != answers_of(ui)
        readings.keep(numbers, *held)
        found.setdefault(control, []).append((update, full))
        print(
            f"{control:12} {frame:4}: {update.process:.3f} of {full.process:.3f} s, "
            f"{update.wall:.3f} of {full.wall:.3f} s by the clock, {update.sampled} frames"
        )
    everything = [pair for pairs in found.values() for pair in pairs]
    for name, pairs in (*found.items(), ("all", everything)):
        process = median(one.process / full.process for one, full in pairs)
        wall = median(one.wall / full.wall for one, full in pairs)
        print(f"{name:12} median: {process:.2f} of the process' time, {wall:.2f} by the clock")
    process, wall = together(everything, "process"), together(everything, "wall")
    print(f"all together: {process:.2f} of the process' time, {wall:.2f} by the clock")
    print(f"other answers than a full check: {wrong}")
    return 1 if wrong else 0


def together(pairs: list[tuple[Cost, Cost]], name: str) -> float:
    """What all updates cost over what all checks do: a busy machine shakes this less."""
    return sum(getattr(one, name) for one, _ in pairs) / sum(getattr(two, name) for _, two in pairs)


def answers_of(ui: Any) -> str:
    """What a check found, but for ids, which go on from pass to pass."""
    check = ui.last_check.last_check()
    shot = check.examination.shot
    told = [(f.check, f.frames, f.amount, f.limit, f.says, f.mark) for f in shot.findings]
    clip = check.examination.basis.clip
    arrays = [value.tobytes() for value in vars(clip).values() if hasattr(value, "tobytes")]
    return repr((told, shot.measures, shot.looks, shot.notices, hash(tuple(arrays)), clip.meta))


if __name__ == "__main__":
    code = main()
    sys.stdout.flush()
    os._exit(code)  # Blender's module may crash at a normal exit
