# SPDX-License-Identifier: GPL-3.0-or-later
"""A rig copied with all that it depends on, where another object closes a loop.

An empty on a rig's chest that a hand of the same rig follows still follows the rig itself when only
the rig is copied. Written into a file and read back, both are copied, and so is what lies between.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import bpy

from ...analysis import PlumblineError


def reads_original(depsgraph: Any, rig: bpy.types.Object) -> bool:
    """Whether what is evaluated, in which only a copy of the rig was placed, needs the rig.

    What a graph holds is evaluated; all else is given back as it is. Its own list (`ids`) leaves
    out what is needed without being shown.
    """
    return bool(rig.evaluated_get(depsgraph).is_evaluated)


@contextmanager
def copied_closure(rig: bpy.types.Object) -> Iterator[bpy.types.Object]:
    """The rig's copy among copies of all that it depends on, gone when the block ends.

    Raises PlumblineError for a linked rig, whose file cannot be written into another.
    """
    if rig.library is not None or rig.override_library is not None:
        raise PlumblineError(
            f"{rig.name!r} is linked and follows an object that follows it, expected a rig of "
            "this file: causes are told from its keys alone."
        )
    before = set(_all_blocks())
    try:
        yield _copied(rig)
    finally:
        bpy.data.batch_remove([block for block in _all_blocks() if block not in before])


def _copied(rig: bpy.types.Object) -> bpy.types.Object:
    with TemporaryDirectory(prefix="plumbline-") as folder:
        path = str(Path(folder) / "copy.blend")
        bpy.data.libraries.write(path, {rig}, path_remap="ABSOLUTE")
        with bpy.data.libraries.load(path, link=False) as (_found, wanted):
            wanted.objects = [rig.name]
    (copy,) = wanted.objects
    return copy


def _all_blocks() -> list[Any]:
    # The stubs declare all arguments as required, which Blender does not.
    return list(bpy.data.user_map())  # type: ignore[call-arg]
