# SPDX-License-Identifier: GPL-3.0-or-later
"""What a check returns: events and, beside them, how far each body's own motion is off.

A check does not decide who is to blame or how bad it is: that is for the later stages.
"""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from .cause import KeyEdit, NamedKey

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Suggestion:
    """Where the point would be, or what to do: text for people, numbers for tools.

    frame, position (3,), offset (3,)   frame number; metres, world
    edits                               the keys to type, where a control is known to be to blame
    key                                 the key that the check itself names
    own_text                            said as well where the limb itself is to be mended, and
                                        not what carries it
    """

    text: str
    frame: float | None = None
    position: Floats | None = None
    offset: Floats | None = None
    own_text: str = ""
    edits: tuple[KeyEdit, ...] = ()
    key: NamedKey | None = None


@dataclass(frozen=True, eq=False)
class RawEvent:
    """One thing that a check saw, on one body (an index of the basis) or on the whole figure.

    first, last, peak   sample indices
    amount, limit       in `unit`; limits are already widened by the tolerance
    visible_m           how far a point is off, in scene metres: what the eye sees
    step_m              how far that point travels in a frame nearby, scene metres
    point               name of the mark that shows it most, see `Basis.mark_name`
    says                the sentence, with {who} where the part is named
    always_major        the fault is plain whatever its size
    never_major         it is too much of something, or too little, and no fault by itself
    part                for what is no body of the figure (the camera): its part; body is None
    throughout          it holds for all of the shot; first to last is where it shows most
    """

    check: str
    body: int | None
    first: int
    last: int
    peak: int
    amount: float
    limit: float
    unit: str
    visible_m: float
    step_m: float
    says: str
    point: str = ""
    suggestion: Suggestion | None = None
    always_major: bool = False
    never_major: bool = False
    part: str | None = None
    throughout: bool = False


@dataclass(frozen=True, eq=False)
class Look:
    """A place worth an eye, never an alarm: ranked by `score` within its check, highest first.

    body         index of the basis, or None for the whole figure
    first, last  sample indices
    says         the sentence, with {who} where the part is named
    """

    check: str
    body: int | None
    first: int
    last: int
    score: float
    says: str


@dataclass(frozen=True, eq=False)
class OwnMotion:
    """How far each body is off by itself, (T,B) each.

    metres       against its parent, at its own points; 0 where that does not break clearly
    any_metres   the same, clear or not
    turn         its turn against its parent, radians
    world_turn   its turn in the world, radians
    """

    metres: Floats
    any_metres: Floats
    turn: Floats
    world_turn: Floats


@dataclass(frozen=True, eq=False)
class Evidence:
    """Everything one check found.

    own        each body's own share in it; None where the check names no body
    good       a sentence when nothing is wrong
    habit      a sentence for what the whole shot does alike: its style, so no list of findings
    skipped    why the check could not be asked, or empty
    declared   a sentence on what declared events give; beside those of the shot's style
    looks      places worth an eye
    """

    check: str
    events: tuple[RawEvent, ...] = ()
    own: OwnMotion | None = None
    good: str = ""
    habit: str = ""
    skipped: str = ""
    declared: str = ""
    looks: tuple[Look, ...] = ()
    measures: dict[str, float] = field(default_factory=dict)
