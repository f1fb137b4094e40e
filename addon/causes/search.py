# SPDX-License-Identifier: GPL-3.0-or-later
"""The search for causes: trials are posed on a copy of the rig, as many as there is time for.

Between two steps nothing of ours is in the file, so a search may go on while the user works, and
may be left at any moment.
"""

from collections.abc import Callable, Generator, Iterator
from time import monotonic

import bpy

from ...analysis import Clip, PlumblineError, Shot
from ...analysis.cause import Cause
from ...analysis.causes.again import Outcome, outcome_in_steps
from ...analysis.causes.asking import Plan, planning
from ...analysis.causes.question import ask, asked_outcome, weigh_asked
from ...analysis.causes.rank import weigh, weighing
from ...analysis.pipeline import Examination
from ...analysis.trials import Posed, Trial
from ..sampling.added import share_points
from ..sampling.reader import RigPlan, plan_rig
from .rig_copy import rig_copy

# So often the rig is looked at anew after an undo before the search does without it.
_MOST_PLANS = 8


class CauseSearch:
    """Asks a rig what its examination wants to know, then checks each answer again.

    why_none  why no rig answered, as a sentence: then causes come from the curves alone; or empty
    """

    def __init__(
        self, scene: bpy.types.Scene, rig: bpy.types.Object, examination: Examination
    ) -> None:
        # By their numbers: an undo may put both elsewhere in memory.
        self._scene_uid, self._rig_uid = scene.session_uid, rig.session_uid
        self._examination = examination
        self._planning = planning(examination)
        self._looked_at, self._to_look_at = 0, len(examination.shot.findings) + 1
        self._asked: Plan | None = None
        self._answers: list[Posed] = []
        self._outcomes: list[Outcome | None] = []
        self._checking: Generator[None, None, Outcome] | None = None
        self._weighing: Iterator[int | Shot] | None = None
        self._told, self._to_tell = 0, len(examination.shot.findings)
        self._shot: Shot | None = None
        self._plan: RigPlan | None = None
        self._plans = 0
        self.why_none = ""

    @property
    def total(self) -> int:
        """How many findings there are to look at, trials to pose, answers to check, and findings
        to tell the causes of."""
        looks = self._to_look_at
        return (
            self._to_tell + looks + 2 * (looks if self._asked is None else len(self._asked.trials))
        )

    @property
    def done(self) -> int:
        """How many of these are done."""
        return self._looked_at + len(self._answers) + len(self._outcomes) + self._told

    @property
    def is_done(self) -> bool:
        """Whether nothing is left to do: all is done, or the rig does not answer."""
        if self._asked is None:
            return False
        checked = len(self._outcomes) == len(self._asked.trials)
        return bool(self.why_none) or (checked and self._shot is not None)

    def step(self, seconds: float) -> None:
        """Go on until the time is up, by one step at least; all of it within this call."""
        until = monotonic() + seconds
        try:
            if self._asked is None:
                self._look(until)
            elif len(self._answers) < len(self._asked.trials):
                self._pose(self._asked, until)
            elif len(self._outcomes) < len(self._asked.trials):
                self._check(self._asked, until)
            else:
                self._weigh(self._asked, until)
        except ReferenceError:  # an undo has put what was planned elsewhere
            self._plan = None
        except PlumblineError as error:
            self.why_none = str(error)

    def shot(self) -> Shot:
        """The findings with their causes, by what is known so far."""
        if self._asked is None or self._shot is not None:
            return self._shot or self._examination.shot
        return weigh(self._examination, self._asked, self._known(self._asked))

    def _known(self, asked: Plan) -> list[Outcome | None]:
        """An outcome for each trial, None for those that are not posed and checked yet."""
        return [*self._outcomes, *[None] * (len(asked.trials) - len(self._outcomes))]

    def _outcome_of(self, trial: Trial, answer: Posed) -> Generator[None, None, Outcome]:
        return outcome_in_steps(self._examination, trial, answer)

    def _look(self, until: float) -> None:
        """Look at one finding after another: which keys may have made it."""
        while self._asked is None:
            self._asked = next(self._planning)
            if self._asked is None:
                self._looked_at += 1
            if monotonic() >= until:
                break

    def _pose(self, asked: Plan, until: float) -> None:
        scene = self._scene()
        plan, trials = self._plan_now(scene), asked.trials
        with rig_copy(scene, plan, self._examination.basis.clip) as copy:
            while len(self._answers) < len(trials):
                self._answers.append(copy.pose(trials[len(self._answers)]))
                if monotonic() >= until:
                    break

    def _check(self, asked: Plan, until: float) -> None:
        while len(self._outcomes) < len(asked.trials):
            n = len(self._outcomes)
            self._checking = self._checking or self._outcome_of(asked.trials[n], self._answers[n])
            try:
                next(self._checking)
            except StopIteration as end:
                self._outcomes.append(end.value)
                self._checking = None
            if monotonic() >= until:
                break

    def _weigh(self, asked: Plan, until: float) -> None:
        """Tell the causes of one finding after another."""
        self._weighing = self._weighing or weighing(self._examination, asked, self._outcomes)
        for told in self._weighing:
            if isinstance(told, Shot):
                self._shot, self._told = told, self._to_tell
            else:
                self._told = told
            if monotonic() >= until:
                break

    def _scene(self) -> bpy.types.Scene:
        for scene in bpy.data.scenes:
            if scene.session_uid == self._scene_uid:
                return scene
        raise PlumblineError("The scene is gone, expected the one that was checked: check again.")

    def _plan_now(self, scene: bpy.types.Scene) -> RigPlan:
        """What is read of the rig, planned once and again after an undo."""
        if self._plan is None:
            self._plans += 1
            rig = next((o for o in scene.objects if o.session_uid == self._rig_uid), None)
            if rig is None or self._plans > _MOST_PLANS:
                raise PlumblineError("The rig is gone, expected the one that was checked.")
            self._plan = plan_like(scene, rig, self._examination.basis.clip)
        return self._plan


class AskedSearch(CauseSearch):
    """The same search for a followed joint at a scene frame that the user points at.

    Raises PlumblineError for a joint that is not followed, and for a frame outside of the shot.
    """

    def __init__(
        self,
        scene: bpy.types.Scene,
        rig: bpy.types.Object,
        examination: Examination,
        *,
        joint: str,
        frame: float,
    ) -> None:
        super().__init__(scene, rig, examination)
        self._to_look_at = 0  # a single place is looked at here and now
        self._to_tell, self._shot = 0, examination.shot  # and told by `causes`
        self._plan_asked = self._asked = ask(examination, joint, frame, frame)

    def causes(self) -> tuple[Cause, ...]:
        """What makes it, by what is known so far."""
        return weigh_asked(self._examination, self._plan_asked, self._known(self._plan_asked))

    def _outcome_of(self, trial: Trial, answer: Posed) -> Generator[None, None, Outcome]:
        yield
        return asked_outcome(self._examination, trial, answer)


def plan_like(scene: bpy.types.Scene, rig: bpy.types.Object, clip: Clip) -> RigPlan:
    """What was read of a rig for a clip, planned again.

    Raises PlumblineError where the rig is no longer as it was.
    """
    (wanted,) = share_points(scene, [rig])
    first = round(float(clip.frames[0]))
    plan = plan_rig(scene, rig, first=first, name=clip.meta.name, wanted=wanted)
    joints, channels = plan.skeleton.joints, tuple(each.name for each in plan.channels)
    if joints != clip.joints[: len(joints)] or channels != clip.channels:
        raise PlumblineError(
            f"{rig.name!r} has other bones or other keyed channels than when it was checked, "
            "expected the same: check again."
        )
    return plan


def find_causes(
    scene: bpy.types.Scene,
    rig: bpy.types.Object,
    examination: Examination,
    *,
    tell: Callable[[str], None] | None = None,
) -> Shot:
    """The findings with their causes, all at once; `tell` is told why no rig answered."""
    search = CauseSearch(scene, rig, examination)
    while not search.is_done:
        search.step(float("inf"))
    if search.why_none and tell is not None:
        tell(search.why_none)
    return search.shot()
