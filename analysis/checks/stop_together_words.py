# SPDX-License-Identifier: GPL-3.0-or-later
"""What `stop_together` says."""

import numpy as np

from ..arrivals import Stop
from ..basis import Basis
from ..parts import label, split_part
from ..words import capital, count_text, frame_text


def told(basis: Basis, stop: Stop) -> str:
    """The sentence for what happened: who arrives, and when."""
    first, last = (frame_text(float(_frame(basis, at))) for at in (stop.at.min(), stop.at.max()))
    when = f"at frame {first}" if first == last else f"within frames {first} to {last}"
    return f"{capital(_who(basis, stop))} all arrive {when}."


def advice(basis: Basis, stop: Stop, overlap_s: float) -> str:
    """What to do: who keeps its place in time, and how many frames the others come later."""
    frames = max(round(overlap_s / basis.dt_s), 2)
    outer = [n for n in stop.bodies if split_part(basis.bodies[n].part or "")[0] == "hand"]
    ends = "hands" if len(outer) > 1 else f"{_name(basis, outer[0])}"
    at = frame_text(float(_frame(basis, np.median(stop.at))))
    return (
        f"Let the hips arrive at frame {at}, chest and head {count_text(frames // 2, 'frame')} "
        f"later and the {ends} {count_text(frames, 'frame')} later or more; or let some parts "
        "go a little beyond their pose and settle."
    )


def good_text(basis: Basis, stops: list[Stop], least_s: float) -> str:
    """How many stops there are, and how the parts follow each other in them.

    least_s   seconds from the first arrival to the last that are overlap enough
    """
    count = count_text(len(stops), "stop")
    spread = float(np.median([stop.spread for stop in stops]))
    if sum(stop.overshoots > 0.5 for stop in stops) * 2 > len(stops):
        text = f"{count}: parts go beyond their places and settle"
        if spread * basis.dt_s > least_s:
            return f"{text}, so nothing stops at once."
        within = _frames(max(np.ceil(spread), 1.0))
        return f"{text}, which makes it soft, though all of them do so within {within}."
    text = f"{count}, none of all parts at once: from the first to the last to arrive "
    return f"{text}{_frames(spread)}{_trail(basis, stops)}."


def _trail(basis: Basis, stops: list[Stop]) -> str:
    """How far the hands come after the chest, where they do."""
    late = []
    for stop in stops:
        at = dict(zip(stop.bodies, stop.at, strict=True))
        kinds = {n: split_part(basis.bodies[n].part or "")[0] for n in stop.bodies}
        chest = [at[n] for n, kind in kinds.items() if kind == "chest"]
        hands = [at[n] for n, kind in kinds.items() if kind == "hand"]
        late += [hand - chest[0] for hand in hands if chest]
    usual = float(np.median(late)) if late else 0.0
    return f", the hands trail the chest by {_frames(usual)}" if usual >= 1.0 else ""


def _who(basis: Basis, stop: Stop) -> str:
    names = [_name(basis, n) for n in stop.bodies]
    if "left hand" in names and "right hand" in names:
        names = [name for name in names if name not in ("left hand", "right hand")]
        names.append("both hands")
    return f"{', '.join(names[:-1])} and {names[-1]}"


def _name(basis: Basis, body: int) -> str:
    each = basis.bodies[body]
    named = each.part is not None and split_part(each.part)[0] != "prop"
    return label(each.part) if named and each.part else each.name


def _frame(basis: Basis, at: float) -> float:
    return float(basis.frames[round(float(at))])


def _frames(samples: float) -> str:
    return count_text(round(samples), "frame")
