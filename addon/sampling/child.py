# SPDX-License-Identifier: GPL-3.0-or-later
"""Samples in a second Blender where only stepping the scene itself gives true poses.

Stepping the real scene destroys unkeyed edits, so a Blender with a window never does it:
the scene is written to a temporary file as it is in memory, and a Blender without a
window, which owns that file, steps it and writes clips.
"""

import json
import subprocess
import tempfile
from collections.abc import Generator, Sequence
from math import inf
from pathlib import Path
from typing import Any

import bpy

from ...analysis import Clip, PlumblineError, load_clip, save_clip
from .scene_facts import library_path
from .stages import layer_name

SCRIPT = Path(__file__).resolve().parent.parent / "headless.py"
VERB = "sample-appended"


def sampling_in_child(
    scene: bpy.types.Scene,
    rigs: Sequence[bpy.types.Object],
    props: Sequence[bpy.types.Object] | None,
    frames: tuple[int, int],
    reason: str,
    *,
    bones: Sequence[str] = (),
    seconds: float = inf,
) -> Generator[None, None, list[Clip | PlumblineError]]:
    """What `sample_each` gives, sampled by a second Blender; raises PlumblineError if it fails.

    Pauses after so many seconds each time, while that one works on; closed at a pause, it ends
    that one and leaves no file.
    """
    with tempfile.TemporaryDirectory(prefix="plumbline-") as folder:
        blend = Path(folder) / "scene.blend"
        bpy.data.libraries.write(str(blend), {scene}, path_remap="ABSOLUTE")
        request = {
            "blend": str(blend),
            "scene": scene.name,
            "view_layer": layer_name(scene),
            "frames": frames,
            "rigs": [rig.name for rig in rigs],
            "rig_libraries": [library_path(rig) for rig in rigs],
            "props": None if props is None else [item.name for item in props],
            "prop_libraries": [library_path(item) for item in props or ()],
            "bones": list(bones),
            "folder": folder,
        }
        code = yield from _running(_command(request), seconds)
        results = [_result(Path(folder), number) for number in range(len(rigs))]
        if code != 0 or None in results:
            raise PlumblineError(
                f"the scene must be stepped by a second Blender because {reason}, and that one "
                f"ended with code {code}; expected clips: check the file headless "
                "to see why."
            )
        return [result for result in results if result is not None]


def _command(request: dict[str, Any]) -> list[str]:
    command = [bpy.app.binary_path, "--background", "--factory-startup"]
    # Drivers written in Python run there only if they were allowed to run here.
    command += [] if bpy.app.autoexec_fail else ["--enable-autoexec"]
    return [*command, "--python", str(SCRIPT), "--", VERB, json.dumps(request)]


def _running(command: list[str], seconds: float) -> Generator[None, None, int]:
    """Run it, with pauses; returns its exit code."""
    quiet = subprocess.DEVNULL
    process = subprocess.Popen(command, stdin=quiet, stdout=quiet, stderr=quiet)
    try:
        while True:
            try:
                return process.wait(None if seconds == inf else seconds)
            except subprocess.TimeoutExpired:
                yield
    finally:
        if process.poll() is None:
            process.kill()
            process.wait()  # or its files could not be removed on every system


def _result(folder: Path, number: int) -> Clip | PlumblineError | None:
    """What the second Blender left for a rig: a clip, or a text that says why not."""
    clip, text = folder / f"{number}.npz", folder / f"{number}.txt"
    if text.is_file():
        return PlumblineError(text.read_text("utf-8"))
    return load_clip(clip) if clip.is_file() else None


def answer(text: str) -> int:
    """In the second Blender: sample a scene written to a file, one clip or text a rig.

    The request names objects of the file; lists of their libraries, in the same order, tell
    those apart that share a name. Returns the exit code.
    """
    from .sampler import sample_each  # it asks this module in its turn

    request = json.loads(text)
    scene = load_appended(request["blend"], request["scene"])
    if "view_layer" in request:
        bpy.context.window.view_layer = scene.view_layers[request["view_layer"]]
    rigs = _objects(request["rigs"], request.get("rig_libraries"))
    props = None
    if request["props"] is not None:
        props = _objects(request["props"], request.get("prop_libraries"))
    first, last = request["frames"]
    folder = Path(request["folder"])
    results = sample_each(
        scene, rigs, first=first, last=last, props=props, bones=request.get("bones", ())
    )
    for number, result in enumerate(results):
        if isinstance(result, PlumblineError):
            (folder / f"{number}.txt").write_text(str(result), "utf-8")
        else:
            save_clip(folder / f"{number}.npz", result)
    return 0


def _objects(names: Sequence[str], libraries: Sequence[str | None] | None) -> list[Any]:
    wanted = zip(names, libraries or [None] * len(names), strict=True)
    known = {(item.name, library_path(item)): item for item in bpy.data.objects}
    return [known[key] for key in wanted]


def load_appended(blend: str, scene_name: str) -> bpy.types.Scene:
    """Bring the written scene into this process, as the active one, with its own names."""
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    with bpy.data.libraries.load(blend, link=False) as (_found, wanted):
        wanted.scenes = [scene_name]
    scene = wanted.scenes[0]
    bpy.context.window.scene = scene
    return scene
