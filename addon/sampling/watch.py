# SPDX-License-Identifier: GPL-3.0-or-later
"""What changes in a scene at the pauses of work that goes on in steps.

Blender tells which blocks an update touched. Selecting shifts no object and no bone, and moving the
playhead, which plays the keys there are, is told by no update at all; keys, poses without keys,
constraints and drivers are. What a step of ours makes Blender update is over when the step ends.
"""

from collections.abc import Generator, Iterator
from contextlib import contextmanager
from typing import Any, TypeVar

import bpy

from .held import ChangedError
from .key_numbers import Keys, is_left_out

Result = TypeVar("Result")

CHANGED = (
    "You changed the scene while Check was reading it, expected it to stay as it is until all "
    "frames are read: press Check again."
)
MOVED = (
    "You moved the playhead while Check was reading, expected it to stay where it is until all "
    "frames are read: press Check again."
)


class Watch:
    """Between its beginning and its end, what others change; a block of `own` is not theirs.

    edited   something that may show in a pose
    keys     an action, if only by selecting keys
    """

    def __init__(self, scene: bpy.types.Scene, keys: Keys) -> None:
        self.edited = self.keys = False
        self._read, self._touched = keys, set[int]()
        self._own = False
        self._frame = scene.frame_current_final
        app = bpy.app.handlers
        self._lists: tuple[tuple[list[Any], Any], ...] = (
            (app.depsgraph_update_post, self._updated),
            (app.undo_post, self._undone),
            (app.redo_post, self._undone),
        )

    def __enter__(self) -> "Watch":
        for handlers, handler in self._lists:
            handlers.append(handler)
        return self

    def __exit__(self, *_error: object) -> None:
        for handlers, handler in self._lists:
            if handler in handlers:  # opening a file takes them away
                handlers.remove(handler)

    @contextmanager
    def own(self) -> Iterator[None]:
        """A block whose updates are ours, those that Blender would make afterwards included."""
        self._own = True
        try:
            yield
        finally:
            for window in bpy.context.window_manager.windows:
                window.view_layer.update()
            self._own = False

    def verify(self, scene: bpy.types.Scene) -> None:
        """Raise ChangedError, one sentence, where what is read is no longer what it was."""
        touched, self._touched = self._touched, set()
        if self.edited or (touched and self._read.changed(touched)):
            raise ChangedError(CHANGED)
        if scene.frame_current_final != self._frame:
            raise ChangedError(MOVED)

    def _updated(self, _scene: bpy.types.Scene, depsgraph: bpy.types.Depsgraph) -> None:
        if self._own:
            return
        for update in depsgraph.updates:
            if isinstance(update.id, bpy.types.Action):
                self.keys = True
                if not is_left_out(update.id, self._read.ball):
                    self._touched.add(update.id.original.session_uid)
            elif update.is_updated_transform or _is_reshaped(update):
                self.edited = True

    def _undone(self, *_told: Any) -> None:
        self.edited = self.keys = True


def _is_reshaped(update: Any) -> bool:
    """Whether a shape has changed; objects say so of what is only selected as well."""
    selectable = isinstance(update.id, (bpy.types.Object, bpy.types.Collection))
    return bool(update.is_updated_geometry) and not selectable


def watched(
    watch: Watch, steps: Generator[Any, None, Result], scene: bpy.types.Scene, *, apart: str
) -> Generator[Any, None, Result]:
    """Steps that read a scene, ended by a ChangedError where it changes at one of the pauses.

    apart   what is done, in the words of `Progress`, while somebody else reads: then it may change
    """
    try:
        while True:
            try:
                with watch.own():
                    told = next(steps)
            except StopIteration as end:
                return end.value  # type: ignore[no-any-return]
            yield told
            if told.does != apart:
                watch.verify(_same(scene))
    finally:
        steps.close()


def _same(scene: bpy.types.Scene) -> bpy.types.Scene:
    try:
        scene.session_uid  # noqa: B018 - Blender says so where it has freed it
    except ReferenceError as error:
        raise ChangedError(CHANGED) from error
    return scene
