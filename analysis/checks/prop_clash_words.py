# SPDX-License-Identifier: GPL-3.0-or-later
"""What `prop_clash` says: sentences for clashes, for what is worn, and for what is clear."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..carried import Carried
from ..parts import label
from ..words import capital, direction_text, frame_text

Floats = NDArray[np.float64]


def clash_text(
    basis: Basis, part: str, where: tuple[int, int, int], depth: float, *, between: bool, times: int
) -> str:
    """The sentence; where: first, last and deepest sample; times: how often it cuts in there."""
    first, last, peak = (frame_text(basis.frames[at]) for at in where)
    size = basis.size_text(depth)
    name = label(part)
    if times > 1:
        deepest = f"{size} at frame {peak} at the deepest"
        return f"The {{who}} cuts into the {name} {times} times, {deepest}."
    if between:
        return f"The {{who}} passes {size} deep through the {name} from frame {first} to {last}."
    if first == last:
        return f"The {{who}} cuts {size} into the {name} at frame {first}."
    return (
        f"The {{who}} cuts {size} into the {name} from frame {first} to {last}, deepest at {peak}."
    )


def advice_text(basis: Basis, part: str, peak: int, offset: Floats | None) -> str:
    """What to do about it; offset: the way out, scene metres, where it is known."""
    frame = frame_text(basis.frames[peak])
    if offset is None:
        return (
            f"Lead {{it}} around the {label(part)} after frame {frame}, or the part out of its way."
        )
    way = direction_text(offset, basis.forward[peak])
    size = basis.size_text(float(np.linalg.norm(offset)))
    return f"Move or turn {{it}} {size} {way} at frame {frame}, off the {label(part)}."


def worn_text(basis: Basis, worn: Sequence[tuple[int, str]]) -> str:
    """One sentence for props that lie in a part all along; empty for none."""
    if not worn:
        return ""
    pairs = [f"the {basis.bodies[body].name} lies in the {label(part)}" for body, part in worn]
    named = pairs[0] if len(pairs) == 1 else f"{', '.join(pairs[:-1])} and {pairs[-1]}"
    return f"{capital(named)} all along: taken as worn."


def good_text(basis: Basis, carried: Sequence[Carried]) -> str:
    """What holds where nothing clashes."""
    names = [basis.bodies[each.body].name for each in carried]
    named = names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and the {names[-1]}"
    first, last = (frame_text(basis.frames[at]) for at in (0, -1))
    kept = "keeps" if len(names) == 1 else "keep"
    return f"The {named} {kept} clear of the body from frame {first} to {last}."
