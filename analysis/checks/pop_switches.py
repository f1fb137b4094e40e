# SPDX-License-Identifier: GPL-3.0-or-later
"""What `pop` tells of switches: properties and influences that go at once."""

import re
from collections.abc import Sequence

import numpy as np

from ..basis import Basis
from ..cause import NamedKey
from ..evidence import RawEvent, Suggestion
from ..switch_jumps import SwitchJump
from ..words import direction_text, frame_text


def switch_event(basis: Basis, jump: SwitchJump) -> RawEvent:
    """What jumps as a channel is switched."""
    a, b = (frame_text(basis.frames[at]) for at in (jump.first, jump.last))
    size = basis.size_text(jump.size)
    where = direction_text(jump.offset, basis.forward[jump.last])
    path = basis.marks[max(jump.first - 3, 0) : jump.last + 4, jump.body, jump.mark]
    steps = np.linalg.norm(np.diff(path, axis=0), axis=-1)
    says = (
        f"The {{who}} jumps {size} {where} from frame {a} to {b}: {_channel(jump)} "
        f"goes from {jump.before:.3g} to {jump.after:.3g} there."
    )
    advice = (
        f"Spread the change of {_channel(jump)} over some frames, or pose {{it}} "
        f"so on frame {b} that nothing jumps as it is switched."
    )
    return RawEvent(
        check="pop",
        body=jump.body,
        first=jump.first,
        last=jump.last,
        peak=jump.last,
        amount=basis.amount(jump.size),
        limit=basis.amount(jump.size * basis.settings.factor("pop") / jump.clear),
        unit=basis.unit,
        visible_m=jump.size,
        step_m=float(np.median(steps)),
        says=says,
        point=basis.mark_name(jump.body, jump.mark),
        suggestion=Suggestion(
            advice,
            frame=float(basis.frames[jump.last]),
            position=basis.marks[jump.last, jump.body, jump.mark] - jump.offset,
            offset=-jump.offset,
            key=NamedKey(jump.control, jump.channel, float(basis.frames[jump.last]), "spread"),
        ),
    )


def _channel(jump: SwitchJump) -> str:
    """`the influence of Copy Rotation on hand.L`, `IK_FK of hand.L`."""
    named = re.fullmatch(r'constraints\["(.+)"\]\.influence|\["(.+)"\]', jump.channel)
    if named and named[1]:
        return f"the influence of {named[1]} on {jump.control}"
    return f"{named[2] if named else jump.channel} of {jump.control}"


def without_switches(events: Sequence[RawEvent], switches: Sequence[SwitchJump]) -> list[RawEvent]:
    """The events of other bodies and moments: what jumps at a switch is told by it."""
    return [
        event
        for event in events
        if not any(
            event.body in each.bodies
            and event.first <= each.last + 1
            and each.first <= event.last + 1
            for each in switches
        )
    ]
