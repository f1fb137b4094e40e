# SPDX-License-Identifier: GPL-3.0-or-later
"""What to type: a finding's advice with the key, and its new values, of its first cause."""

from dataclasses import replace

import numpy as np

from ..cause import LEAST_SHARE, Cause, channel_text
from ..evidence import Suggestion
from ..finding import Finding
from ..words import frame_text
from .edit_words import held_text, turn_text, values_text
from .groups import SAME_FRAME

# What makes smooth handles of keys says so in these words.
SMOOTH_WORDS = "smooth handles"
# Two moves whose lengths differ by more than this share of the longer are not one.
APART = 0.25


def with_advice(finding: Finding) -> Finding:
    """The finding, its suggestion followed by what its first cause's key is to become."""
    if not finding.causes or finding.causes[0].control is None:
        return finding
    cause = finding.causes[0]
    advice, said = finding.suggestion, key_advice(cause)
    if not cause.is_mended or not said or _is_said(advice, cause):
        return finding
    if advice is not None and len({edit.frame for edit in advice.edits}) > 1:
        return finding  # it takes several keys, which it names itself
    if advice is None:
        advice = Suggestion(said, frame=cause.frame, edits=cause.edits)
    else:
        if _goes_elsewhere(advice, cause):
            said = f"Or {said[0].lower()}{said[1:]}"
        advice = replace(advice, text=f"{advice.text} {said}", edits=cause.edits)
    return replace(finding, suggestion=advice)


def _goes_elsewhere(advice: Suggestion, cause: Cause) -> bool:
    """Whether a key's new place is another way than where the check would have its control go."""
    if advice.offset is None or cause.channel != "location" or not cause.edits:
        return False
    asked = float(np.linalg.norm(advice.offset))
    moved = float(np.linalg.norm([each.after - each.before for each in cause.edits]))
    return abs(moved - asked) > APART * max(asked, moved)


def _is_said(advice: Suggestion | None, cause: Cause) -> bool:
    """Whether the check itself has told to do to these keys what mends the cause."""
    if advice is None or cause.frame is None:
        return False
    key = advice.key
    if (
        key is not None
        and key.control == cause.control
        and cause.mend in ("smooth", "retime", "spread")
    ):
        return abs(key.frame - cause.frame) <= SAME_FRAME
    smooth = f"keys of {cause.control} "
    return cause.mend == "smooth" and smooth in advice.text and SMOOTH_WORDS in advice.text


def caution(cause: Cause) -> str:
    """Why what mends a cause's key is not to be done, as a sentence; or empty."""
    if not cause.mend or cause.share < LEAST_SHARE:
        return ""
    if cause.spoils:
        return f"Mending this key alone makes another finding ({cause.spoils}): pose it by eye."
    if not cause.is_known:
        return "What this key was to be is not clear from the keys around it: pose it by eye."
    return ""


def key_advice(cause: Cause) -> str:
    """A sentence that says what to do to a key, or empty where nothing is known."""
    if cause.frame is None or not cause.mend:
        return ""
    key = f"{cause.control}'s {channel_text(cause.channel)} key on frame {frame_text(cause.frame)}"
    if cause.mend == "smooth":
        return f"Give {key} smooth handles."
    if cause.mend == "retime" and cause.to_frame is not None:
        return f"Move {key} to {frame_text(cause.to_frame)}."
    if cause.mend == "spread" and cause.to_frame is not None:
        moves = abs(cause.to_frame - cause.frame) > SAME_FRAME
        to = f"Move {key} to {frame_text(cause.to_frame)}, and give it" if moves else f"Give {key}"
        return f"{to} and the key before it smooth handles."
    if cause.mend == "unwind":
        later = len({each.frame for each in cause.edits}) > 1
        return f"Take the turn out of {key}{' and those after it' if later else ''}."
    if held := held_text(cause.edits):
        return f"Hold {cause.control}'s {channel_text(cause.channel)} {held}."
    edits = [each for each in cause.edits if abs(each.frame - cause.frame) <= SAME_FRAME]
    if turn := turn_text(edits):
        return f"Turn {cause.control} on frame {frame_text(cause.frame)} by {turn}."
    values = values_text(edits)
    return f"Change {key}: {values}." if values else ""
