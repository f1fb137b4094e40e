# SPDX-License-Identifier: GPL-3.0-or-later
"""Runs inside Blender: builds the demo scenes, saves them, writes the truth of each.

`demo_scenes/run.py` starts it; `build.py FOLDER` builds into a folder.
"""

import importlib.util
import json
import os
import sys
import traceback
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType
from typing import Any

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

from demo_scenes import truth  # noqa: E402
from demo_scenes.captured.armature import add_captured  # noqa: E402
from demo_scenes.captured.motions import load_motion  # noqa: E402
from demo_scenes.porter import brisk_walk  # noqa: E402

sampling = importlib.import_module(f"{PACKAGE}.addon.sampling")


@dataclass(frozen=True)
class TwoPasses:
    """A scene that is built as a first pass with planted faults and as a polished pass."""

    name: str
    build: Callable[[bool], Any]
    planted: Sequence[dict[str, Any]]


TWO_PASSES = (
    TwoPasses(
        "brisk_walk", lambda polished: brisk_walk.build(polished=polished), brisk_walk.PLANTED
    ),
)
# Captured clips that are said to be loops; one repeats a frame, one breaks at its seam.
CAPTURED_LOOPS = ("walk", "roll")


def build_all(folder: Path) -> None:
    """Build every scene into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    for scene in TWO_PASSES:
        _build_passes(folder, scene)
    captured = Path(os.environ["PLUMBLINE_CAPTURED"])
    for name in CAPTURED_LOOPS:
        _empty_file()
        rig = add_captured(load_motion(captured, name))
        _declare_loop(rig)
        _save(folder / f"captured_{name}.blend")


def _build_passes(folder: Path, scene: TwoPasses) -> None:
    clips, last = {}, {}
    for kind in ("first", "polished"):  # the first pass plays longer, if they differ
        _empty_file()
        rig = scene.build(kind == "polished")
        active = bpy.context.scene
        last[kind] = active.frame_end
        _save(folder / f"{scene.name}_{kind}.blend")
        (clips[kind],) = sampling.sample(active, [rig], last=max(last.values()))
    faults = truth.true_faults(
        clips["first"], clips["polished"], (last["first"], last["polished"]), scene.planted
    )
    report = {"scene": scene.name, "fps": clips["first"].fps, "faults": faults}
    text = json.dumps(report, indent=1, ensure_ascii=False) + "\n"
    (folder / f"{scene.name}_truth.json").write_text(text, encoding="utf-8")


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
