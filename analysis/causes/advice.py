# SPDX-License-Identifier: GPL-3.0-or-later
"""What to type: a finding's advice with the key, and its new values, of its first cause."""

from dataclasses import replace

from ..cause import Cause, KeyEdit
from ..evidence import Suggestion
from ..finding import Finding
from ..words import frame_text

# A share so small names nobody to blame.
LEAST_SHARE = 0.25
# So many values are said; the rest stands in the edits.
MOST_SAID = 3


def with_advice(finding: Finding) -> Finding:
    """The finding, its suggestion followed by what its first cause's key is to become."""
    if not finding.causes or finding.causes[0].control is None:
        return finding
    cause = finding.causes[0]
    said = key_advice(cause)
    if cause.share < LEAST_SHARE or not said:
        return finding
    advice = finding.suggestion
    if advice is None:
        advice = Suggestion(said, frame=cause.frame, edits=cause.edits)
    else:
        advice = replace(advice, text=f"{advice.text} {said}", edits=cause.edits)
    return replace(finding, suggestion=advice)


def key_advice(cause: Cause) -> str:
    """A sentence that says what to do to a key, or empty where nothing is known."""
    if cause.frame is None or not cause.mend:
        return ""
    key = f"{cause.control}'s {cause.channel} key on frame {frame_text(cause.frame)}"
    if cause.mend == "smooth":
        return f"Give {key} smooth handles."
    if cause.mend == "retime" and cause.to_frame is not None:
        return f"Move {key} to {frame_text(cause.to_frame)}."
    if cause.mend == "unwind":
        return f"Take the turn out of {key} and those after it."
    if not cause.edits:
        return ""
    frames = sorted({edit.frame for edit in cause.edits})
    if len(frames) > 1:
        return _hold_advice(cause, frames)
    told = sorted(cause.edits, key=lambda each: -abs(each.after - each.before))[:MOST_SAID]
    changed = [each for each in told if _text(each.before) != _text(each.after)]
    values = ", ".join(_edit_text(each) for each in changed)
    return f"Change {key}: {values}." if values else ""


def _hold_advice(cause: Cause, frames: list[float]) -> str:
    """Several keys of a stand that are to have the values of its first."""
    held = {edit.channel.rpartition(".")[2]: _text(edit.after) for edit in cause.edits}
    values = ", ".join(f"{axis} {value}" for axis, value in held.items())
    first, last = frame_text(frames[0]), frame_text(frames[-1])
    return (
        f"Hold {cause.control}'s {cause.channel} on its {len(frames)} keys from frame {first} to "
        f"{last}: {values}."
    )


def _edit_text(edit: KeyEdit) -> str:
    """`z 0.081 to 0.042`, by the axis where there is one."""
    name = edit.channel.rpartition(".")[2]
    return f"{name} {_text(edit.before)} to {_text(edit.after)}"


def _text(value: float) -> str:
    return f"{value:.3f}".rstrip("0").rstrip(".") or "0"
