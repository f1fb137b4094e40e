# SPDX-License-Identifier: GPL-3.0-or-later
"""A figure whose parts turn, and turns that stick and catch up planted in it."""

import numpy as np
from figures import figure

from analysis import Settings, check_clip
from analysis import quaternions as quat
from tests.quality.figure import rebuild

ASKED = Settings(cycle="no", checks=("stuck_turn",))
FRAMES, AT, FROZEN, CAUGHT_UP = 60, 30, 6, 2


def swinging(frames=FRAMES, fps=24.0, **more):
    """A striding figure whose head looks around and whose hands swing from the wrist."""
    time = np.arange(frames) / fps
    turns = {
        "chest": 0.3 * np.sin(2 * np.pi * 0.7 * time),
        "head": 0.5 * np.sin(2 * np.pi * 0.8 * time + 0.4),
        "hand.L": 0.4 * np.sin(2 * np.pi * 0.9 * time + 0.9),
        "hand.R": 0.4 * np.sin(2 * np.pi * 0.9 * time),
        "foot.L": 0.3 * np.sin(2 * np.pi * time),
        "foot.R": -0.3 * np.sin(2 * np.pi * time),
    }
    return figure(frames=frames, fps=fps, turns=turns, **more)


def axes_of(clip, part, space):
    """(T,4) the orientations of a joint in a space, and of that space; the world has none."""
    joint = clip.joint(part)
    turns = clip.rotations[:, joint]
    if space == "world":
        return quat.continuous(np.array(turns)), None
    axes = clip.rotations[:, clip.parents[joint] if space == "parent" else clip.joint(space)]
    return quat.continuous(quat.multiply(quat.conjugate(axes), turns)), axes


def most_hidden(clip, part, space, length):
    """The sample from which a joint turns furthest in so many samples."""
    turns, _axes = axes_of(clip, part, space)
    apart = [abs(turns[at] @ turns[at + length]) for at in range(8, len(turns) - length - 8)]
    return 8 + int(np.argmin(apart))


def stuck(clip, part, space="world", *, at=AT, frozen=FROZEN, caught_up=CAUGHT_UP):
    """The clip with a joint that stands from sample `at` on, in the world or in a joint's axes."""
    joint = clip.joint(part)
    turns, axes = axes_of(clip, part, space)
    end = at + frozen + caught_up
    wanted = turns.copy()
    wanted[at : at + frozen + 1] = turns[at]
    for n in range(1, caught_up):
        share = n / caught_up
        wanted[at + frozen + n] = quat.normalise((1 - share) * turns[at] + share * turns[end])
    if axes is not None:
        wanted = quat.multiply(axes, wanted)
    extra = quat.multiply(wanted, quat.conjugate(clip.rotations[:, joint]))
    extra[:at], extra[end:] = [1.0, 0, 0, 0], [1.0, 0, 0, 0]
    return rebuild(clip, joint, turn=quat.normalise(extra))


def one(clip, settings=ASKED):
    (finding,) = check_clip(clip, settings).findings
    assert finding.check == "stuck_turn"
    return finding
