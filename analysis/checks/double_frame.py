# SPDX-License-Identifier: GPL-3.0-or-later
"""`double_frame`: does a cycle end on a repeat of its first frame?"""

from ..basis import Basis
from ..evidence import Evidence, RawEvent, Suggestion
from ..loop import Cycle
from ..words import count_text, frame_text
from .contract import CheckInfo

INFO = CheckInfo(
    name="double_frame",
    question="Does a cycle end on a repeat of its first frame?",
    definition=(
        "The last poses of the range that plays are compared with its first ones: the median of "
        "all moving points of their distance over their step, travel and turn taken out. One "
        "frame or several (up to a quarter second) may repeat, and the loop must run on more "
        "smoothly without them (where they are nearer than .3 of a step, hardly rougher). A "
        "last key that equals the first but lies outside the range is right."
    ),
    unit="frames",
    limit="nearer than .4 of a normal step (strict .53, loose .27); not asked where nothing moves",
    source="common practice, no source; the share comes from trials on captured cycles",
    stages=("blocking", "spline", "polish"),
    mend="End the playing range before the repeat; the repeated key stays outside it.",
)


def find(basis: Basis, cycle: Cycle) -> Evidence:
    """At most one event, on the whole figure: the frames at the end that repeat the start."""
    if not cycle.plays:
        return Evidence("double_frame", skipped=cycle.why_not)
    first, last = basis.frames[0], basis.frames[-1]
    if basis.clip.meta.loop_end == "repeat":
        return Evidence("double_frame", skipped="the last frame is declared to repeat the first")
    if cycle.repeats == 0:
        good = f"The loop {frame_text(first)} to {frame_text(last)} repeats no frame at its end."
        return Evidence("double_frame", good=good)
    return Evidence("double_frame", (_event(basis, cycle.repeats),))


def _event(basis: Basis, repeats: int) -> RawEvent:
    count = len(basis.frames)
    frames = [frame_text(frame) for frame in basis.frames]
    cut, end = frames[count - repeats], frames[count - repeats - 1]
    if repeats == 1:
        says = f"Frame {cut} repeats frame {frames[0]}, so the loop sticks for a frame"
    else:
        says = (
            f"Frames {cut} to {frames[-1]} repeat frames {frames[0]} to {frames[repeats - 1]}, "
            "so the loop plays them twice"
        )
    return RawEvent(
        check="double_frame",
        body=None,
        first=count - repeats,
        last=count - 1,
        peak=count - repeats,
        amount=float(repeats),
        limit=0.0,
        unit="frames",
        visible_m=0.0,
        step_m=0.0,
        says=f"{says}: play {frames[0]} to {end}.",
        suggestion=Suggestion(
            f"Cut {count_text(repeats, 'frame')}: end the playing range at frame {end}.",
            frame=float(basis.frames[count - repeats - 1]),
        ),
        always_major=True,
    )
