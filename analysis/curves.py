# SPDX-License-Identifier: GPL-3.0-or-later
"""Keys of a control's curve as plain data, so that a clip can carry them without Blender."""

from dataclasses import MISSING, dataclass, fields
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .errors import ClipError

# Fields that a clip always tells, though they have a default.
_TOLD = ("cyclic", "drives")


@dataclass(frozen=True, kw_only=True)
class Curve:
    """One channel's keys.

    control         bone or object that is keyed
    channel         plain words for the channel, such as `location.x`
    data_path, index   as Blender spells them
    action, strip   the action's name; the NLA strip's name, or None for the active action
    frames          (K,) scene frames of the keys; `action_frames` the same in the action
    values          (K,) key values in the channel's own unit
    interpolation   (K,) CONSTANT, LINEAR, BEZIER, ...
    handle_left, handle_right   (K,) pairs (action frame, value)
    handle_types    (K,) pairs of handle type names (left, right)
    key_types       (K,) KEYFRAME, EXTREME, BREAKDOWN, ...
    cyclic          True where the curve repeats itself (a cycles modifier)
    drives          joints of the clip that the channel can move, as the rig is set up
    rotation_mode   of a rotation: QUATERNION, AXIS_ANGLE or an order such as XYZ, as the control is
                    set; a rotation channel of another mode plays nothing

    What `analysis.keys` needs besides to play the curve as Blender does; older clips lack it:

    easing          (K,) AUTO, EASE_IN, EASE_OUT, EASE_IN_OUT; back, amplitude, period (K,) of the
                    interpolations that have them; all empty where no key asks for them
    extrapolation   CONSTANT or LINEAR: beyond the keys
    auto_smoothing  CONT_ACCEL or NONE: how automatic handles are found
    cycles          of its cycles modifier: (mode before, rounds before, mode after, rounds after),
                    modes NONE, REPEAT, REPEAT_OFFSET, MIRROR, 0 rounds for no end; or None
    time_scale      scene frames for one frame of the action, below 0 where it plays backwards;
                    None where only the keys tell it
    steps           WHOLE: rounded to whole numbers; HELD: on or off, or a choice, held from key to
                    key; empty for numbers of any kind
    modifiers       other curve modifiers that change it, which `analysis.keys` does not play

    Where actions lie in layers (`weight` alone tells how much of a change arrives):

    blend           how it goes together with what lies below: REPLACE, ADD, COMBINE ...
    influence       pairs (scene frame, share) of its strip or action, straight between them and
                    held beyond; empty where it counts in full
    strip_frames    first and last scene frame of its strip; extends: HOLD, HOLD_FORWARD, NOTHING
    rounds          how often its strip plays it, and scene frames of one time; `frames` are those
                    of the first; None where it plays once
    weight          pairs as of `influence`: less where it is not heard, or another one that lies
                    above replaces it; empty where all of it arrives
    owner           what has the curve where the rig itself does not: an object that moves it, or
                    the strip whose influence it is; its channel is none of the clip's
    """

    control: str
    channel: str
    data_path: str
    index: int
    action: str
    strip: str | None
    frames: tuple[float, ...]
    action_frames: tuple[float, ...]
    values: tuple[float, ...]
    interpolation: tuple[str, ...]
    handle_left: tuple[tuple[float, float], ...]
    handle_right: tuple[tuple[float, float], ...]
    handle_types: tuple[tuple[str, str], ...]
    key_types: tuple[str, ...]
    cyclic: bool = False
    drives: tuple[str, ...] = ()
    easing: tuple[str, ...] = ()
    back: tuple[float, ...] = ()
    amplitude: tuple[float, ...] = ()
    period: tuple[float, ...] = ()
    extrapolation: str = "CONSTANT"
    auto_smoothing: str = "CONT_ACCEL"
    cycles: tuple[str, int, str, int] | None = None
    time_scale: float | None = None
    steps: str = ""
    modifiers: tuple[str, ...] = ()
    blend: str = "REPLACE"
    influence: tuple[tuple[float, float], ...] = ()
    strip_frames: tuple[float, float] | None = None
    extends: str = "HOLD"
    rounds: tuple[float, float] | None = None
    weight: tuple[tuple[float, float], ...] = ()
    owner: str = ""
    rotation_mode: str = ""

    @cached_property
    def times(self) -> NDArray[np.float64]:
        """(K,) `frames` as an array: they are asked for again and again."""
        return np.array(self.frames, dtype=np.float64)

    def to_json(self) -> dict[str, Any]:
        """The curve as JSON values; what most curves have in common is left out."""
        told = {field.name: getattr(self, field.name) for field in fields(self)}
        common = {field.name: field.default for field in fields(self) if field.name not in _TOLD}
        return {name: value for name, value in told.items() if value != common.get(name, MISSING)}

    @classmethod
    def from_json(cls, data: Any) -> "Curve":
        """Build a curve from JSON values; raises ClipError when they do not fit."""
        try:
            return cls(**{name: _frozen(value) for name, value in data.items()})
        except (TypeError, AttributeError) as error:
            raise ClipError(
                f"meta.curves holds an entry that is no curve ({error}); expected an object with "
                "control, channel, data_path, keys and handles: sample the clip again."
            ) from None


def _frozen(value: Any) -> Any:
    """Lists of JSON as tuples, so that a curve stays immutable and compares by value."""
    return tuple(_frozen(item) for item in value) if isinstance(value, list) else value
