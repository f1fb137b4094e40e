# SPDX-License-Identifier: GPL-3.0-or-later
"""What `edge_on` says: sentences for what is seen edge-on, and for what to do."""

from collections.abc import Sequence

from ..basis import Basis
from ..basis.contacts import runs
from ..prop_view import LEAST_SHARE, View
from ..words import capital, count_text, frame_text


def edge_text(basis: Basis, span: tuple[int, int], share: float, *, end: bool, held: bool) -> str:
    """The sentence; share of its width (or length: `end`) that is seen at the worst."""
    first, last = (frame_text(basis.frames[at]) for at in span)
    frames = count_text(span[1] - span[0] + 1, "frame")
    seen = f"{100.0 * share:.0f} % of its {'length' if end else 'width'}"
    what = "points at the camera" if end else "shows the camera only its edge"
    while_held = ", held still" if held else ""
    return (
        f"The {{who}} {what} from frame {first} to {last} ({frames}{while_held}): {seen} is seen."
    )


def advice_text(basis: Basis, view: View, peak: int, *, end: bool) -> str:
    """What to do about it."""
    frame = frame_text(basis.frames[peak])
    if end:
        return f"Point {{it}} across the picture at frame {frame}: 20 degrees show a third of it."
    least = max(view.turn[peak] - 60.0, 10.0)
    return (
        f"Turn {{it}} about its own length by {least:.0f} degrees or more at frame {frame}, "
        "or move the camera, so that half of its width shows."
    )


def style_text(basis: Basis, bodies: Sequence[int]) -> str:
    """One sentence for props that show their edge all along; empty for none."""
    if not bodies:
        return ""
    names = [f"the {basis.bodies[body].name}" for body in bodies]
    named = names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
    verb = "shows" if len(names) == 1 else "show"
    its = "its" if len(names) == 1 else "their"
    return capital(f"{named} {verb} the camera only {its} edge all along: taken for a style.")


def good_text(basis: Basis, views: Sequence[View]) -> str:
    """What holds where all props are seen well, or are not for moments only."""
    told = [
        f"the {basis.bodies[view.carried.body].name} ({_seen_text(view)})"
        for view in views
        if view.shows.any()
    ]
    named = told[0] if len(told) == 1 else f"{', '.join(told[:-1])} and {told[-1]}"
    return f"The camera sees {named} well enough to be read."


def _seen_text(view: View) -> str:
    """The least that is seen; how long at a time it is less than can be read."""
    least = f"{100.0 * float(view.share[view.shows].min()):.0f} % at the least"
    low = runs(view.shows & (view.share < LEAST_SHARE))
    if not low:
        return least
    longest = count_text(max(last - first + 1 for first, last in low), "frame")
    return f"under {100.0 * LEAST_SHARE:.0f} % for {longest} at a time, {least}"
