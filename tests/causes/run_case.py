# SPDX-License-Identifier: GPL-3.0-or-later
"""Runs one case as a user would: check, look for causes, mend what is blamed, check again."""

import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import numpy as np

from analysis import Clip
from analysis.cause import Cause
from analysis.pipeline import Examination, examine

from .asked import asked
from .case import Faulted, planted
from .inside import addon, addon_if_there
from .plan import Task
from .score import Answer, answer, best, new_findings
from .takes import Take
from .watch import apart

UNTOUCHED_M = 1e-4
REACH = 2  # keys, as far as automatic handles reach
Json = dict[str, Any]


def run_case(take: Take, task: Task, clean_findings: list[Json]) -> Json:
    """Everything that is to be known of a case, as JSON values."""
    found: Json = {
        "base": take.base.name,
        "rig": take.base.rig,
        "keying": take.base.keying,
        "half": take.base.half,
        "kind": task.kind,
        "number": task.number,
        "planted": False,
    }
    begun = time.monotonic()
    with planted(take, task.kind, task.number) as faulted:
        if faulted is not None:
            found |= {"planted": True, **_checked(faulted, clean_findings)}
    return found | {"seconds": round(time.monotonic() - begun, 2)}


def _checked(faulted: Faulted, clean_findings: list[Json]) -> Json:
    examination = examine(faulted.clip)
    clean = clean_findings
    if faulted.clean is not faulted.take.clip:  # a switch was blended into it
        clean = findings_json(examine(faulted.clean))
    shot, cost = with_causes(faulted, examination)
    findings = [each.to_json() for each in shot.findings]
    new = new_findings(findings, clean)
    alone = len(faulted.truths) == 1
    answers = [answer(new, truth, alone=alone) for truth in faulted.truths]
    return {
        "truths": [truth.to_json() for truth in faulted.truths],
        "answers": [each.to_json() for each in answers],
        "asked": asked(faulted, examination) if alone else None,
        "findings": findings,
        "clean": [each["id"] for each in clean],
        **cost,
        "mended": mended(faulted, shot, new, answers, clean),
    }


def findings_json(examination: Examination) -> list[Json]:
    """The findings of a check."""
    return [each.to_json() for each in examination.shot.findings]


def with_causes(faulted: Faulted, examination: Examination) -> tuple[Any, Json]:
    """The shot with causes, where this state of the project looks for them; and what it cost."""
    search = addon_if_there("causes.search")
    frames = len(faulted.clip.frames)
    if search is None:
        return examination.shot, {"frames": frames, "evaluated": None}
    begun = time.monotonic()
    with counted_frames() as stepped:
        shot = search.find_causes(faulted.take.scene, faulted.take.rig, examination)
    seconds = round(time.monotonic() - begun, 3)
    return shot, {"frames": frames, "evaluated": len(stepped), "search_s": seconds}


@contextmanager
def counted_frames() -> Iterator[list[int]]:
    """The frames that stages are stepped to inside the block; handlers rest meanwhile."""
    stage: Any = addon("sampling.stages").Stage
    stepped: list[int] = []
    plain = stage.go

    def go(self: Any, frame: int, subframe: float = 0.0) -> Any:
        stepped.append(frame)
        return plain(self, frame, subframe)

    stage.go = go
    try:
        yield stepped
    finally:
        stage.go = plain


def mended(
    faulted: Faulted, shot: Any, new: list[Json], answers: list[Answer], clean: list[Json]
) -> Json | None:
    """What the first cause's mend makes of a single fault; None where nothing is suggested."""
    mends = addon_if_there("causes.mends")
    finding = best(new, faulted.truths[0]) if len(answers) == 1 else None
    if mends is None or finding is None:
        return None
    cause = next((c for f in shot.findings if f.id == finding["id"] for c in f.causes[:1]), None)
    if cause is None or not cause.mend:
        return None
    try:
        said = mends.apply(faulted.take.rig, cause)
    except Exception as error:  # a case's refusal is an answer, and no end of the run
        told = {"mend": cause.mend, "offered": cause.is_mended}
        return {"error": f"{type(error).__name__}: {error}", **told}
    after = faulted.take.sample()
    again = new_findings(findings_json(examine(after)), clean)
    return {
        "mend": cause.mend,
        "offered": cause.is_mended,
        "said": str(said),
        "edits": [each.to_json() for each in cause.edits],
        **distances(faulted, after, cause),
        "new_major": [
            each["id"] for each in new_findings(again, new) if each["severity"] == "major"
        ],
    }


def distances(faulted: Faulted, after: Clip, cause: Cause) -> Json:
    """Metres to the clean original before and after the mend: the largest, RMS, and elsewhere.

    Elsewhere is what neither the fault had touched nor automatic handles at the mended key reach.
    """
    before_m, after_m = (apart(clip, faulted.clean) for clip in (faulted.clip, after))
    first, last = _reach_of(faulted, cause)
    frames = after.frames
    touched = (before_m.max(axis=1) > UNTOUCHED_M) | ((frames >= first) & (frames <= last))
    away = after_m[~touched]
    return {
        "before_m": float(before_m.max()),
        "after_m": float(after_m.max()),
        "before_rms_m": float(np.sqrt((before_m**2).mean())),
        "after_rms_m": float(np.sqrt((after_m**2).mean())),
        "elsewhere_m": float(away.max()) if away.size else 0.0,
    }


def _reach_of(faulted: Faulted, cause: Cause) -> tuple[float, float]:
    """The second key before the one that a cause names, and the second after it; or where that key
    goes, if this is later."""
    if cause.frame is None:
        return float("inf"), float("-inf")
    control = cause.control
    keyed = [g.frames for name, g in faulted.take.groups.items() if name.control == control]
    frames = sorted({frame for each in keyed for frame in each})
    before = [frame for frame in frames if frame < cause.frame][-REACH:]
    after = [frame for frame in frames if frame > cause.frame][:REACH]
    there = cause.frame if cause.to_frame is None else cause.to_frame
    return min([*before, cause.frame, there]), max([*after, cause.frame, there])
