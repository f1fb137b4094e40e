# SPDX-License-Identifier: GPL-3.0-or-later
"""One check, in steps between which a window may be drawn."""

from collections.abc import Generator
from math import inf

import bpy

from ...analysis import Clip, PlumblineError, Settings
from ...analysis.cli import still_text
from ...analysis.in_steps import Progress, within
from ...analysis.memory import Memory
from ...analysis.pipeline import Examination, examination_in_steps
from ..sampling.held import ChangedError
from ..sampling.in_steps import LOOKING, SECOND, sampling_in_steps
from ..sampling.key_numbers import Keys, keys_in
from ..sampling.watch import CHANGED, Watch, watched
from ..sphere.checked import beside_figure, figure_of, rig_name_of
from ..watch import readings
from ..watch.resample import Reading, reading_in_steps
from . import keys_since
from .answers import take_answers
from .asked import chosen_range, settings_of
from .changes import what_is_asked
from .operators import chosen_subject
from .session import session_of

# How far a check has come when all frames are read.
READ = 0.5
# Of that share, when the figure of a ball is read.
FIGURE = 0.8


class Check:
    """One check: `step` until it returns True, then `take`. Between steps nothing of it is in the
    file. Raises PlumblineError, one sentence, where it cannot be made or comes to its end early.

    rig      what to check; where None, what is chosen
    watched  whether the answers are brought up to date, from what was read last, and not asked for
    """

    def __init__(
        self,
        context: bpy.types.Context,
        seconds: float = inf,
        *,
        rig: bpy.types.Object | None = None,
        watched: bool = False,
    ) -> None:
        session, scene = session_of(context), context.scene
        rig = rig or chosen_subject(context, session.rig)
        self._watched, self._keeps = watched, session.watch
        self._reading: Reading | None = None
        self._memory = Memory()
        self._watch: Watch | None = None
        self._asked = what_is_asked(context, rig)
        self._scene_uid, self._rig_uid = scene.session_uid, rig.session_uid
        self._numbers = self._scene_uid, self._rig_uid
        self._ball = rig_name_of(scene, rig)
        self._keys = keys_in(scene, self._ball)
        self._beside: dict[tuple[int, int], Reading | None] = {}
        self._found: tuple[Clip, Examination] | None = None
        span, settings = chosen_range(scene, session), settings_of(context)
        self._steps = self._measuring(scene, rig, span, settings, seconds)
        self.progress = Progress(0.0, LOOKING)

    def step(self) -> bool:
        """A step; whether that was the last."""
        try:
            self.progress = next(self._steps)
        except StopIteration as end:
            self._found = end.value
        return self._found is not None

    @property
    def is_touched(self) -> bool:
        """Whether anything was edited since it began."""
        return self._watch is not None and (self._watch.keys or self._watch.edited)

    @property
    def reading(self) -> Reading | None:
        """What was read, where that is kept: while answers are watched."""
        return self._reading

    def close(self) -> None:
        """Leave it where it is."""
        self._steps.close()

    def take(self, context: bpy.types.Context) -> str:
        """Show and keep the answers; returns what they come to, in a few words."""
        assert self._found is not None
        scene = next((s for s in bpy.data.scenes if s.session_uid == self._scene_uid), None)
        objects = () if scene is None else scene.objects
        rig = next((item for item in objects if item.session_uid == self._rig_uid), None)
        if scene is None or rig is None:
            raise ChangedError(CHANGED)
        found, asked = self._found, self._asked
        told = take_answers(context, scene, rig, *found, asked, self._keys, watched=self._watched)
        self.keep()
        if self.is_touched:  # since they were read: the answers are shown, and may be old
            keys = self._keys
            blocks = (*keys.actions, *keys.settings, *keys.places, *keys.cameras)
            keys_since.note_touched(self._scene_uid, blocks)
        return told

    def keep(self) -> None:
        """Hold what was read for the next update, where answers are watched."""
        if self._keeps:
            readings.keep(self._numbers, self._reading, self._memory, self._beside)
        else:  # what is held is about what was before
            readings.forget()

    def _measuring(
        self,
        scene: bpy.types.Scene,
        rig: bpy.types.Object,
        span: tuple[int, int],
        settings: Settings,
        seconds: float,
    ) -> Generator[Progress, None, tuple[Clip, Examination]]:
        file, name = bpy.data.filepath, scene.name
        with Watch(scene, self._keys) as watch:
            self._watch = watch
            frames = self._frames(scene, rig, span, seconds)
            reading = within(watched(watch, frames, scene, apart=SECOND), 0.0, READ)
            clip = yield from reading
            if not clip.moves:
                raise PlumblineError(still_text(clip))
            # A check that is pressed owes nothing to what was worked out before.
            self._memory = readings.memory_of(self._numbers) if self._watched else Memory()
            memory = self._memory if self._keeps else None
            judging = examination_in_steps(clip, settings, file=file, scene=name, memory=memory)
            examination = yield from within(judging, READ, 1.0)
        return clip, examination

    def _frames(
        self, scene: bpy.types.Scene, rig: bpy.types.Object, span: tuple[int, int], seconds: float
    ) -> Generator[Progress, None, Clip]:
        """The clip, of a ball beside its figure's; while answers are watched what was read is kept,
        and gone on from."""
        figure = figure_of(scene, rig)
        beside: Clip | PlumblineError | None = None
        if self._keeps:
            if figure is not None:
                reading = self._read_figure(scene, figure, span, seconds)
                beside = yield from within(reading, 0.0, FIGURE)
            own = self._read(scene, rig, span, self._keys, seconds)
            told = within(own, FIGURE if figure is not None else 0.0, 1.0)
            clip, self._reading = yield from told
        else:
            rigs = [rig] if figure is None else [rig, figure]
            first, end = span
            read = yield from sampling_in_steps(scene, rigs, first=first, last=end, seconds=seconds)
            if isinstance(read[0], PlumblineError):
                raise read[0]
            clip, beside = read[0], None if figure is None else read[1]
        return beside_figure(rig, clip, beside) if self._ball else clip

    def _read(
        self,
        scene: bpy.types.Scene,
        rig: bpy.types.Object,
        span: tuple[int, int],
        keys: Keys,
        seconds: float,
    ) -> Generator[Progress, None, tuple[Clip, Reading | None]]:
        numbers = scene.session_uid, rig.session_uid
        last = readings.last_of(numbers) if self._watched else None
        return (yield from reading_in_steps(scene, rig, span, keys, last, seconds=seconds))

    def _read_figure(
        self, scene: bpy.types.Scene, rig: bpy.types.Object, span: tuple[int, int], seconds: float
    ) -> Generator[Progress, None, Clip | PlumblineError]:
        """The figure of a ball, by its own keys: those of the ball change nothing of it."""
        numbers = scene.session_uid, rig.session_uid
        try:
            clip, reading = yield from self._read(scene, rig, span, keys_in(scene), seconds)
        except PlumblineError as error:
            return error
        self._beside[numbers] = reading
        return clip
