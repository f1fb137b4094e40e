# SPDX-License-Identifier: GPL-3.0-or-later
"""What was handed back, and how it is told."""

from dataclasses import dataclass

import numpy as np

from ....analysis.words import count_text, frame_text

# Millimetres, and degrees: less is told as that much.
_LEAST = 0.01


@dataclass(frozen=True)
class Handed:
    """What a hand back did.

    control         the control that goes as the ball does now
    carried         what goes as the ball does because the control carries it; empty for itself
    keys            how many frames its keys are on; frames: scene frames of the first and the last
    at_keys_m       how far its point is off the ball there, at most, scene metres
    between_m, between_frame   the same on the whole frames between, and where; None without any
    turned_rad      how far it is turned otherwise than the ball at the keys; None where not asked
    feet            a sentence for each place where a planted foot did not stay
    strip, below    the strip that was made, and the action that plays below it now; or empty
    """

    control: str
    carried: str
    keys: int
    frames: tuple[float, float]
    at_keys_m: float
    between_m: float
    between_frame: float | None
    turned_rad: float | None
    feet: tuple[str, ...]
    strip: str = ""
    below: str = ""

    @property
    def sentences(self) -> tuple[str, ...]:
        """The result first, and then what the animator should look at."""
        told = (
            f"{self._goes} as the ball does: {count_text(self.keys, 'key')}, within "
            f"{small_text(self.at_keys_m)} at them"
        )
        if self.between_frame is not None:
            told += (
                f", {small_text(self.between_m)} between (frame {frame_text(self.between_frame)})"
            )
        if self.turned_rad is not None:
            told += f", turned within {max(np.degrees(self.turned_rad), _LEAST):.2g} degrees"
        return (f"{told}.", *self._layers, *self.feet)

    @property
    def _layers(self) -> tuple[str, ...]:
        if self.strip and self.below:
            return (
                f"The action {self.below!r} is as it was, and plays as a strip: {self.strip!r} "
                "lies on top of it.",
            )
        return (f"The strip {self.strip!r} lies on top of all others.",) if self.strip else ()

    @property
    def _goes(self) -> str:
        if self.carried:
            return f"{self.control!r} moves so that {self.carried} goes"
        return f"{self.control!r} goes"


def small_text(metres: float) -> str:
    """A small distance, never as none: 0.01 mm at least, 3 mm, 4.2 cm."""
    if metres >= 0.01:
        return f"{100.0 * metres:.1f} cm"
    return f"{max(1000.0 * metres, _LEAST):.2g} mm"
