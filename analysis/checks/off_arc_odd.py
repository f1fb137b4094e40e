# SPDX-License-Identifier: GPL-3.0-or-later
"""What `off_arc` tells of keys that are odd on their own control's path."""

from collections.abc import Generator

import numpy as np

from ..basis import Basis
from ..cause import NamedKey, channel_text
from ..causes.key_edits import edits_of
from ..declared import is_declared
from ..evidence import RawEvent, Suggestion
from ..odd_keys import SEEN_SHARE, OddKey, odd_keys
from ..words import direction_text, frame_text


def odd_events(
    basis: Basis, told: set[tuple[str, str, float]]
) -> Generator[None, None, tuple[RawEvent, ...]]:
    """Odd keys that are not declared, and not told already: (control, `location` or `rotation`,
    frame). Pauses after each control."""
    found = yield from odd_keys(basis, basis.settings.factor("off_arc"))
    return tuple(
        _event(basis, each)
        for each in found
        if (each.control, channel_text(each.group.name), each.frame) not in told
        and not is_declared(basis, each.body, each.sample, each.sample)
    )


def _event(basis: Basis, odd: OddKey) -> RawEvent:
    factor = basis.settings.factor("off_arc")
    least = factor * SEEN_SHARE * basis.height.scene_m
    path = basis.marks[max(odd.sample - 2, 0) : odd.sample + 3, odd.body, odd.mark]
    keys = np.asarray(odd.group.frames)
    at = int(np.argmin(np.abs(keys - odd.frame)))
    before, after = (int(np.argmin(np.abs(basis.frames - keys[at + side]))) for side in (-1, 1))
    size = basis.size_text(odd.amount)
    key = f"key of {odd.control} on frame {frame_text(odd.frame)} ({channel_text(odd.group.name)})"
    where = direction_text(odd.offset, basis.forward[odd.sample])
    return RawEvent(
        check="off_arc",
        body=odd.body,
        first=(before + odd.sample + 1) // 2,
        last=(odd.sample + after) // 2,
        peak=odd.sample,
        amount=basis.amount(odd.amount),
        limit=basis.amount(max(least, odd.amount * factor / odd.clear)),
        unit=basis.unit,
        visible_m=odd.amount,
        step_m=float(np.linalg.norm(np.diff(path, axis=0), axis=-1).max()),
        says=f"The {key} takes the {{who}} {size} off the smooth way of the keys around it.",
        point=basis.mark_name(odd.body, odd.mark),
        suggestion=Suggestion(
            f"Move the {key} so that it takes {{it}} {size} further {where}, or delete that key.",
            frame=odd.frame,
            position=basis.marks[odd.sample, odd.body, odd.mark] + odd.offset,
            offset=odd.offset,
            edits=edits_of(odd.repair),
            key=NamedKey(odd.control, odd.group.name, odd.frame, "suggested"),
        ),
    )
