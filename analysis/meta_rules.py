# SPDX-License-Identifier: GPL-3.0-or-later
"""What a clip's meta must keep to: it names joints, points and supports that the clip has, and a
height that a character has."""

from typing import TYPE_CHECKING

import numpy as np

from .errors import ClipError
from .parts import is_spelt
from .story_height import why_no_height
from .words import count_text

if TYPE_CHECKING:
    from .clip import Clip

# How far the last row of a matrix that places a box may be off by rounding of float32.
LAST_ROW = 1e-5


def check_meta(clip: "Clip") -> None:
    """Raise ClipError unless all that the clip's meta names is there."""
    _check_height(clip)
    _check_ball(clip)
    _check_roles(clip)
    _check_follow(clip)
    _check_targets(clip)
    _check_events(clip)
    _check_supports(clip)


def check_names(what: str, names: tuple[str, ...]) -> None:
    """Raise ClipError where two of `names` are the same."""
    seen: set[str] = set()
    for name in names:
        if name in seen:
            raise ClipError(f"two {what}s are called {name!r}, expected one each: rename one.")
        seen.add(name)


def _check_height(clip: "Clip") -> None:
    height_m = clip.meta.height_m
    if height_m is not None and (why := why_no_height(height_m)):
        raise ClipError(f"meta.height_m is {why}.")


def _check_roles(clip: "Clip") -> None:
    for part, names in clip.meta.roles.items():
        if not is_spelt(part):
            raise ClipError(
                f"meta.roles names a part {part!r}, expected parts such as root, spine.1 or "
                "hand.L: rename it or leave it out."
            )
        for name in names:
            if name not in clip.joints:
                raise ClipError(
                    f"meta.roles gives {part} the joint {name!r}, which the clip does not have: "
                    "name one of its joints."
                )
    for prop in clip.meta.props:
        if prop.joint not in clip.joints:
            raise ClipError(
                f"meta.props gives {prop.name!r} the joint {prop.joint!r}, which the clip does "
                "not have: name one of its joints."
            )


def _check_ball(clip: "Clip") -> None:
    ball, count = clip.meta.ball, len(clip.joints)
    if ball is None:
        return
    if ball.figure != (count > 1):
        stands = "a figure stands behind it" if ball.figure else "it is alone"
        needs = "the ball's joint and a figure's" if ball.figure else "the ball's joint only"
        raise ClipError(
            f"meta.ball says that {stands}, and the clip has {count_text(count, 'joint')}, "
            f"expected {needs}: correct meta.ball.figure."
        )
    if clip.meta.roles.get("root") != clip.joints[:1]:
        raise ClipError(
            f"meta.roles does not give root the ball {clip.joints[0]!r}, expected the clip's first "
            "joint there where meta.ball is told: name it, or leave meta.ball out."
        )
    named = [name for names in ball.roles.values() for name in names]
    named += [prop.joint for prop in ball.props] + [each.joint for each in ball.follow]
    named += [ball.on] if ball.on else []
    for name in named:
        if name not in clip.joints[1:]:
            raise ClipError(
                f"meta.ball names {name!r}, expected a joint of the figure behind the ball: name "
                "one of these."
            )


def _check_targets(clip: "Clip") -> None:
    for part, control in clip.meta.targets.items():
        if not is_spelt(part):
            raise ClipError(
                f"meta.targets names a part {part!r}, expected hands and feet such as foot.L: "
                "rename it or leave it out."
            )
        if control not in clip.meta.controls:
            raise ClipError(
                f"meta.targets pulls {part} to {control!r}, which is none of meta.controls: name "
                "one of them, and save its control_matrices."
            )


def _check_events(clip: "Clip") -> None:
    for event in clip.meta.events:
        if event.part is not None and not is_spelt(event.part):
            raise ClipError(
                f"meta.events names a part {event.part!r}, expected parts such as root or hand.L, "
                "or null for the whole figure: rename it."
            )


def _check_follow(clip: "Clip") -> None:
    check_names("followed point", tuple(each.name for each in clip.meta.follow))
    for each in clip.meta.follow:
        if each.joint not in clip.joints:
            raise ClipError(
                f"meta.follow gives {each.name!r} the joint {each.joint!r}, which the clip does "
                "not have: name one of its joints."
            )
        if each.point is None:
            continue
        if each.point not in clip.points or clip.point_joint is None:
            raise ClipError(
                f"meta.follow gives {each.name!r} the point {each.point!r}, which the clip does "
                "not have: name one of its points, or null for the joint."
            )
        at = clip.joints[int(clip.point_joint[clip.points.index(each.point)])]
        if at != each.joint:
            raise ClipError(
                f"meta.follow gives {each.name!r} the point {each.point!r} on joint "
                f"{each.joint!r}, which is on {at!r}: name that joint."
            )


def _check_supports(clip: "Clip") -> None:
    named, boxes = len(clip.meta.supports), 0 if clip.supports is None else len(clip.supports)
    if named and named != boxes:
        raise ClipError(
            f"meta.supports has length {named} and supports length {boxes}, expected one name "
            "for each box: name all of them or none."
        )
    if clip.supports is not None and (np.abs(clip.supports[..., 3, :3]) > LAST_ROW).any():
        raise ClipError(
            "supports hold a matrix whose last row does not begin with 0 0 0, expected the place "
            "of a box in the last column: transpose the matrices."
        )
