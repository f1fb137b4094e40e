# SPDX-License-Identifier: GPL-3.0-or-later
"""What the demo consists of, one line a scene; standard library only.

A scene in two passes is a module with PLANTED (check, part, frames, note of each fault) and
build(polished), which builds into the current, emptied scene and returns the armature.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class TwoPasses:
    """A scene of a first pass with planted faults and a polished pass.

    module       where it is built, inside demo_scenes
    shows        what is to be seen, for the summary
    built_once   it costs seconds, so its plant(rig) turns the polished pass into the first one
    """

    module: str
    shows: str
    built_once: bool = False


TWO_PASSES = {
    "brisk_walk": TwoPasses("porter.brisk_walk", "a porter's walk cycle"),
    "run": TwoPasses("porter.run", "the porter runs, as a cycle"),
    "hop_crate": TwoPasses("porter.hop_crate", "he hops onto a crate and down again"),
    "sidestep": TwoPasses("porter.sidestep", "he dodges a swinging crane hook"),
    "topple": TwoPasses("porter.topple", "he faints and falls on his back"),
    "stop_short": TwoPasses("porter.stop_short", "he stops short at the quay's edge"),
    "boathook_swing": TwoPasses("porter.boathook_swing", "he swings the boathook before him"),
    "rigify_jump": TwoPasses(
        "rigify_jump", "a captured jump keyed on Blender's Rigify human", built_once=True
    ),
    "bvh_jump": TwoPasses("bvh_jump", "a captured jump imported from bvh_jump.bvh"),
}
# Captured clips that are said to be loops.
CAPTURED_LOOPS = {
    "walk": "a captured walk, said to loop: it breaks at its seam",
    "roll": "a captured roll, said to loop: it ends on a repeat of its first frame",
}
# Files that are neither scene nor report.
BESIDE = {"bvh_jump.bvh": "captured motion as a BVH file"}

PASSES = ("first", "polished")


def pass_file(name: str, kind: str) -> str:
    """The file of a scene's first or polished pass."""
    return f"{name}_{kind}.blend"


def truth_file(name: str) -> str:
    """The file that says what was planted in a scene's first pass."""
    return f"{name}_truth.json"


def captured_file(motion: str) -> str:
    """The file of a captured clip."""
    return f"captured_{motion}.blend"


def scene_files() -> list[str]:
    """All scenes to be checked."""
    passes = [pass_file(name, kind) for name in TWO_PASSES for kind in PASSES]
    return passes + [captured_file(motion) for motion in CAPTURED_LOOPS]
