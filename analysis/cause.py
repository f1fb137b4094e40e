# SPDX-License-Identifier: GPL-3.0-or-later
"""What made a finding: a control, a channel and a key, with its share; and the keys to type."""

import re
from dataclasses import dataclass
from typing import Any

from .words import frame_text

# Shares are told in hundredths.
DECIMALS = 2
# `["IK_FK"]`, and `constraints["IK"].influence`.
_OWN = re.compile(r'\["(.+)"\]')
_OF_CONSTRAINT = re.compile(r'constraints\["(.+)"\]\.(\w+)')
# A mend is offered where its key is so much of the finding, and takes so much of it by itself.
LEAST_SHARE, LEAST_TAKEN = 0.25, 0.5
# What is left over, of keys and of joints in a clip without curves.
NO_KEY, NO_JOINT = "no single key explains it", "no single joint explains it"
# New values that may miss by more than this share of what they change are not offered (half A).
MOST_MISSED = 0.25


@dataclass(frozen=True, kw_only=True)
class KeyEdit:
    """A key's new value: `channel` of `control` on scene frame `frame`, before and after.

    Values are as Blender's fields show them: metres or scene units, degrees for Euler angles,
    parts of a quaternion as they are.
    """

    control: str
    channel: str
    frame: float
    before: float
    after: float

    @property
    def text(self) -> str:
        """`z 0.081 to 0.042`, by the axis where there is one."""
        name = self.channel.rpartition(".")[2]
        return f"{name} {self.told(self.before)} to {self.told(self.after)}"

    @property
    def shows(self) -> bool:
        """Whether its values differ as they are told."""
        return self.told(self.before) != self.told(self.after)

    def told(self, value: float) -> str:
        """A value of its channel as people read it: tenths of degrees, else thousandths."""
        digits = 1 if self.channel.startswith("rotation_euler") else 3
        text = f"{value:.{digits}f}".rstrip("0").rstrip(".")
        return "0" if text in ("", "-0") else text

    def to_json(self) -> dict[str, Any]:
        """The edit as it stands in the check JSON."""
        return {
            "control": self.control,
            "channel": self.channel,
            "frame": _frame(self.frame),
            "from": round(self.before, 5),
            "to": round(self.after, 5),
        }


@dataclass(frozen=True)
class NamedKey:
    """A key that a check itself names, by the curves.

    control, group   as `hand_ik.R`, `location`; frame of the scene
    mend             the repair that it asks for: `smooth`, `spread`, `retime`, `suggested`
    """

    control: str
    group: str
    frame: float
    mend: str


@dataclass(frozen=True, kw_only=True)
class Cause:
    """What made a finding, or a part of it.

    control    bone or object whose key it is, or the joint where a clip carries no curves; None
               for what no single key explains
    channel    its channels, such as `location` or `rotation_quaternion`; or a single one
    data_path, action, strip   as Blender spells them
    frame, action_frame        of the key, in the scene and in the action
    share      0 to 1; the shares of one finding add up to one
    why        in words, as `linear key: enters at 3.1 cm a frame, leaves at 0.4`
    mend       what to do about it: `smooth`, `move`, `retime`, `spread`, `unwind`; or empty
    edits      the values that mend it
    to_frame   where the key is to be moved in time, scene frames, or None
    takes      the share of the finding that its mend by itself takes, 0 to 1; None where that was
               not tried
    spoils     the title of a finding that its mend by itself makes, or makes much worse; or empty
    misses     by how much its new values may miss what was meant, as a share of what they change;
               None where that is not told
    """

    control: str | None
    channel: str | None
    share: float
    why: str
    data_path: str | None = None
    action: str | None = None
    strip: str | None = None
    frame: float | None = None
    action_frame: float | None = None
    mend: str = ""
    edits: tuple[KeyEdit, ...] = ()
    to_frame: float | None = None
    takes: float | None = None
    spoils: str = ""
    misses: float | None = None

    @property
    def is_mended(self) -> bool:
        """Whether its mend is worth offering: it goes for the finding, not for a shadow of it."""
        enough = self.takes is None or self.takes >= LEAST_TAKEN
        safe = self.is_known and not self.spoils
        return bool(self.mend) and self.share >= LEAST_SHARE and enough and safe

    @property
    def is_known(self) -> bool:
        """Whether what its values were to be is known well enough."""
        return self.misses is None or self.misses <= MOST_MISSED

    @property
    def title(self) -> str:
        """A few words: `torso, location, key 34`; `head, rotation, frame 34` of a joint."""
        if self.control is None:
            return "No single joint" if self.why == NO_JOINT else "No single key"
        what = "frame" if self.action_frame is None else "key"  # a joint has no keys
        key = "" if self.frame is None else f"{what} {frame_text(self.frame)}"
        return ", ".join(each for each in (self.control, channel_text(self.channel), key) if each)

    def to_json(self) -> dict[str, Any]:
        """The cause as it stands in the check JSON."""
        return {
            "control": self.control,
            "channel": self.channel,
            "data_path": self.data_path,
            "action": self.action,
            "strip": self.strip,
            "frame": _frame(self.frame),
            "action_frame": _frame(self.action_frame),
            "share": round(self.share, DECIMALS),
            "why": self.why,
        }


def channel_text(channel: str | None) -> str:
    """A channel in words: `rotation` in any of its modes, `IK_FK`, `influence of IK`."""
    if not channel:
        return ""
    name, _dot, axis = channel.partition(".")
    if name.startswith("rotation_") and name != "rotation_mode":
        return f"{axis} rotation" if axis else "rotation"
    if found := _OWN.fullmatch(channel):
        return found[1]
    if found := _OF_CONSTRAINT.fullmatch(channel):
        return f"{found[2]} of {found[1]}"
    return channel


def _frame(frame: float | None) -> int | float | None:
    """Whole frames as integers, so that the JSON reads as people count."""
    if frame is None:
        return None
    return round(frame) if abs(frame - round(frame)) < 1e-6 else round(float(frame), 4)
