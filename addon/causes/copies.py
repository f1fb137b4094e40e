# SPDX-License-Identifier: GPL-3.0-or-later
"""Copies of a rig that nothing animates, gone when a block ends.

Usually the object and its bones are enough: what named the rig in them names the copy. But an empty
on a rig's chest that a hand of the same rig follows still follows the rig itself then. Written into
a file and read back, both are copied, and so is what lies between.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import bpy

from ...analysis import PlumblineError
from ..sampling.probes import NAME


@contextmanager
def plain_copy(rig: bpy.types.Object) -> Iterator[bpy.types.Object]:
    """The object and, where drivers of its bones read the rig, these; all else is shared.

    Of an override Blender counts one user more of what it overrides, until the file is opened anew.
    """
    copy = rig.copy()
    made: list[Any] = [copy]
    try:
        copy.name = NAME
        if any(target.id == rig for target in _driver_targets(rig.data)):
            made.append(rig.data.copy())
            copy.data = made[1]
            for target in _driver_targets(copy.data):
                if target.id == rig:
                    target.id = copy
        yield copy
    finally:
        bpy.data.batch_remove(made)


def _driver_targets(data: Any) -> Iterator[Any]:
    animation = getattr(data, "animation_data", None)
    for curve in animation.drivers if animation is not None else ():
        for variable in curve.driver.variables:
            yield from variable.targets


def take_keys_off(copy: bpy.types.Object) -> None:
    """Free a copy of its action and strips, and show it; its drivers stay.

    They may not be taken off and put back: before 4.5 drivers that stay can go wrong then.
    """
    copy.hide_viewport = False
    data = copy.animation_data
    if data is None:
        return
    if data.use_tweak_mode:
        data.use_tweak_mode = False
    data.use_nla = False
    if data.action is not None:
        data.action = None
    for track in list(data.nla_tracks):
        data.nla_tracks.remove(track)


def reads_original(depsgraph: bpy.types.Depsgraph, rig: bpy.types.Object) -> bool:
    """Whether what is evaluated, in which only a copy of the rig was placed, needs the rig.

    What a graph holds is evaluated; all else is given back as it is. Its own list (`ids`) leaves
    out what is needed without being shown.
    """
    return bool(rig.evaluated_get(depsgraph).is_evaluated)


@contextmanager
def copied_closure(rig: bpy.types.Object) -> Iterator[bpy.types.Object]:
    """The rig's copy among copies of all that it depends on, gone when the block ends.

    Raises PlumblineError for a linked rig, whose file cannot be written into another, and where
    the temporary folder takes no file.
    """
    if rig.library is not None or rig.override_library is not None:
        raise PlumblineError(
            f"{rig.name!r} is linked and follows an object that follows it, expected a rig of "
            "this file: causes are told from its keys alone."
        )
    before = set(_all_blocks())
    try:
        yield _written_and_read(rig)
    finally:
        bpy.data.batch_remove([block for block in _all_blocks() if block not in before])


def _written_and_read(rig: bpy.types.Object) -> bpy.types.Object:
    try:
        with TemporaryDirectory(prefix="plumbline-") as folder:
            path = str(Path(folder) / "copy.blend")
            bpy.data.libraries.write(path, {rig}, path_remap="ABSOLUTE")
            with bpy.data.libraries.load(path, link=False) as (_found, wanted):
                wanted.objects = [rig.name]
    except (OSError, RuntimeError) as error:  # how Blender says that it cannot write or read
        raise PlumblineError(
            f"a copy of {rig.name!r} cannot be written into the temporary folder "
            f"({str(error).strip()}), expected room for one: causes are told from its keys alone."
        ) from error
    (copy,) = wanted.objects
    return copy


def _all_blocks() -> list[Any]:
    # The stubs declare all arguments as required, which Blender does not.
    return list(bpy.data.user_map())  # type: ignore[call-arg]
