# SPDX-License-Identifier: GPL-3.0-or-later
"""Runs inside Blender: builds the demo scenes, saves them, writes the truth of each.

`demo_scenes/run.py` starts it; `build.py FOLDER` builds into a folder.
"""

import importlib.util
import json
import os
import sys
import traceback
from collections.abc import Iterator, Sequence
from pathlib import Path
from types import ModuleType
from typing import Any, Protocol

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))


def _load_headless() -> ModuleType:
    """The command's own script knows how to find the extension or run from the checkout."""
    spec = importlib.util.spec_from_file_location("headless", ROOT / "addon" / "headless.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


import bpy  # noqa: E402

from tests.harness.blenders import script_arguments  # noqa: E402
from tests.harness.single_copy import take_over_imports  # noqa: E402

PACKAGE = _load_headless().find_package()
importlib.import_module(f"{PACKAGE}.analysis")
take_over_imports(ROOT, PACKAGE)

from demo_scenes import bvh_jump, registry, truth  # noqa: E402
from demo_scenes.captured.armature import add_captured  # noqa: E402
from demo_scenes.captured.motions import load_motion  # noqa: E402

sampling = importlib.import_module(f"{PACKAGE}.addon.sampling")


Planted = Sequence[dict[str, Any]]
Passes = Iterator[tuple[str, Any]]  # first or polished, and the armature in the current scene


class Scene(Protocol):
    """A module that builds a scene as a first pass with planted faults and as a polished pass."""

    PLANTED: Planted

    def build(self, polished: bool) -> Any:
        """Build into the current, emptied scene; return the armature."""


def build_all(folder: Path) -> None:
    """Build every scene of the registry into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, scene in registry.TWO_PASSES.items():
        module = importlib.import_module(f"demo_scenes.{scene.module}")
        passes = _built_once(module) if scene.built_once else _built_twice(module)
        _save_passes(folder, name, passes, module.PLANTED)
    bvh_jump.write_file(folder)
    captured = Path(os.environ["PLUMBLINE_CAPTURED"])
    for motion in registry.CAPTURED_LOOPS:
        _empty_file()
        rig = add_captured(load_motion(captured, motion))
        _declare_loop(rig)
        _save(folder / registry.captured_file(motion))


def _built_twice(scene: Scene) -> Passes:
    """Both passes, each built from nothing; the first one first, for it may play longer."""
    for kind in registry.PASSES:
        _empty_file()
        yield kind, scene.build(polished=kind == "polished")


def _built_once(scene: Any) -> Passes:
    """The polished pass, then the first one made of it; both play over the same range."""
    _empty_file()
    rig = scene.build(polished=True)
    yield "polished", rig
    scene.plant(rig)
    yield "first", rig


def _save_passes(folder: Path, name: str, passes: Passes, planted: Planted) -> None:
    """Save both passes as they come, and the truth of what they differ in."""
    clips, last = {}, {}
    for kind, rig in passes:
        active = bpy.context.scene
        last[kind] = active.frame_end
        _save(folder / registry.pass_file(name, kind))
        (clips[kind],) = sampling.sample(active, [rig], last=max(last.values()))
    playing = (last["first"], last["polished"])
    try:
        faults = truth.true_faults(clips["first"], clips["polished"], playing, planted)
    except ValueError as error:
        raise ValueError(f"{name}: {error}") from None
    report = {"scene": name, "fps": clips["first"].fps, "faults": faults}
    text = json.dumps(report, indent=1, ensure_ascii=False) + "\n"
    (folder / registry.truth_file(name)).write_text(text, encoding="utf-8")


def _declare_loop(rig: Any) -> None:
    """Say that the action plays as a loop over the range that plays."""
    scene, action = bpy.context.scene, rig.animation_data.action
    action.use_frame_range, action.use_cyclic = True, True
    action.frame_start, action.frame_end = scene.frame_start, scene.frame_end + 1


def _empty_file() -> None:
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)


def _save(path: Path) -> None:
    bpy.context.preferences.filepaths.save_version = 0
    bpy.ops.wm.save_as_mainfile(filepath=str(path), check_existing=False)


def main() -> int:
    """Build into the folder that the command line names."""
    (folder,) = script_arguments(sys.argv, __file__)
    try:
        build_all(Path(folder))
    except Exception:
        traceback.print_exc()
        return 1
    return 0


if __name__ == "__main__":
    code = main()
    sys.stdout.flush()
    sys.stderr.flush()
    os._exit(code)  # Blender's Python module may hang or crash at a plain exit
