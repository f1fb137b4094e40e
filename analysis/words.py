# SPDX-License-Identifier: GPL-3.0-or-later
"""Numbers and directions as an animator says them."""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def frame_text(frame: float) -> str:
    """A frame number, with a fraction only where there is one."""
    return f"{frame:.0f}" if abs(frame - round(frame)) < 1e-3 else f"{frame:.2f}"


def frame_number(frame: float) -> int | float:
    """Whole frames as integers, so that a JSON reads as people count."""
    return round(frame) if abs(frame - round(frame)) < 1e-6 else round(float(frame), 4)


def frames_text(first: float, last: float) -> str:
    """`frame 95`, `frames 25 to 28`."""
    begin, end = frame_text(first), frame_text(last)
    return f"frame {begin}" if begin == end else f"frames {begin} to {end}"


def over_frames(first: float, last: float) -> str:
    """`at frame 95`, `over frames 25 to 28`."""
    return f"{'over' if last > first else 'at'} {frames_text(first, last)}"


def size_text(metres: float) -> str:
    """A visible size: centimetres with one digit; metres, or millimetres for tiny figures. Less
    than a hundredth of a millimetre is told as that much."""
    if metres >= 1.0:
        return f"{metres:.2f} m"
    return f"{metres * 100.0:.1f} cm" if metres >= 0.001 else f"{max(metres * 1000.0, 0.01):.2g} mm"


def speed_text(metres_per_s: float) -> str:
    """A speed, as exact as it can be seen: 4.4 m/s, 47 cm/s, 0.3 mm/s."""
    if metres_per_s >= 0.995:
        return f"{metres_per_s:.1f} m/s"
    if metres_per_s >= 0.01:
        return f"{metres_per_s * 100.0:.0f} cm/s"
    return f"{metres_per_s * 1000.0:.2g} mm/s"


def speed_texts(*metres_per_s: float) -> tuple[str, ...]:
    """Speeds that are compared, in one unit unless one of them is too slow for it: 0.6 m/s beside
    1.2 m/s, but 3 cm/s beside 1.2 m/s."""
    if max(metres_per_s) < 0.995 or min(metres_per_s) < 0.095:
        return tuple(speed_text(each) for each in metres_per_s)
    return tuple(f"{each:.1f} m/s" for each in metres_per_s)


def direction_text(vector: Floats, forward: Floats) -> str:
    """The main direction of a world vector, seen by the figure: up, down, to the left, ...

    A second direction is named when it is at least half as large as the first.
    """
    ahead = np.asarray(forward, dtype=np.float64)
    left = np.array([-ahead[1], ahead[0], 0.0])
    amounts = (
        (float(vector[2]), "up", "down"),
        (float(vector @ left), "to the left", "to the right"),
        (float(vector @ ahead), "forward", "back"),
    )
    ranked = sorted(amounts, key=lambda item: -abs(item[0]))
    words = [plus if value > 0.0 else minus for value, plus, minus in ranked]
    if abs(ranked[1][0]) >= 0.5 * abs(ranked[0][0]):
        return f"{words[0]} and {words[1]}"
    return words[0]


def capital(text: str) -> str:
    """The text with its first letter in upper case."""
    return text[:1].upper() + text[1:]


# How sentences begin that were made to stand after the name of a file.
_OURS = (
    *("a ", "an ", "no ", "the ", "there is ", "there are ", "two ", "what Plumbline "),
    *("height is ", "fps is ", "positions reach ", "frames hold ", "meta "),
)


def sentence_start(text: str) -> str:
    """A sentence that begins with a word of ours in upper case; a name stays as it is spelt."""
    return capital(text) if text.startswith(_OURS) else text


def count_text(count: int, noun: str) -> str:
    """`1 frame`, `2 frames`."""
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"
