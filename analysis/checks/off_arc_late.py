# SPDX-License-Identifier: GPL-3.0-or-later
"""What `off_arc` tells of keys that stand a frame beside a pose."""

import numpy as np

from ..basis import Basis
from ..cause import NamedKey, channel_text
from ..declared import is_declared
from ..evidence import RawEvent, Suggestion
from ..late_keys import SEEN_SHARE, LateKey, late_keys
from ..words import count_text, direction_text, frame_text

Told = tuple[str, str, float]


def late_events(basis: Basis) -> dict[Told, RawEvent]:
    """Late and early keys that are not declared, by control, `location` or `rotation`, frame."""
    return {
        (each.group.control, channel_text(each.group.name), each.frame): _event(basis, each)
        for each in late_keys(basis, basis.settings.factor("off_arc"))
        if not is_declared(basis, each.body, each.sample, each.sample)
    }


def _event(basis: Basis, late: LateKey) -> RawEvent:
    limit = basis.settings.factor("off_arc") * SEEN_SHARE * basis.height.scene_m
    path = basis.marks[max(late.sample - 2, 0) : late.sample + 3, late.body, late.mark]
    size, frame = basis.size_text(late.amount), frame_text(late.frame)
    to_frame, at = frame_text(late.to_frame), frame_text(basis.frames[late.sample])
    key = f"key of {late.group.control} on frame {frame} ({channel_text(late.group.name)})"
    where = direction_text(late.offset, basis.forward[late.sample])
    when = "late" if late.to_frame < late.frame else "early"
    others = count_text(late.others, "other control")
    verb = "is" if late.others == 1 else "are"
    peak = int(np.argmin(np.abs(basis.frames - late.frame)))
    return RawEvent(
        check="off_arc",
        body=late.body,
        first=min((late.first + peak + 1) // 2, late.sample),
        last=max((peak + late.last) // 2, late.sample),
        peak=late.sample,
        amount=basis.amount(late.amount),
        limit=basis.amount(limit),
        unit=basis.unit,
        visible_m=late.amount,
        step_m=float(np.linalg.norm(np.diff(path, axis=0), axis=-1).max()),
        says=(
            f"The {key} comes a frame {when}, as {others} {verb} keyed on {to_frame}: the {{who}} "
            f"is {size} off at frame {at}."
        ),
        point=basis.mark_name(late.body, late.mark),
        suggestion=Suggestion(
            f"Move the {key} to frame {to_frame}: {{it}} is {size} further {where} at frame {at} "
            "then.",
            frame=float(basis.frames[late.sample]),
            position=basis.marks[late.sample, late.body, late.mark] + late.offset,
            offset=late.offset,
            key=NamedKey(late.group.control, late.group.name, late.frame, "retime"),
        ),
    )
