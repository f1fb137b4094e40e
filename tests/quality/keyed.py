# SPDX-License-Identifier: GPL-3.0-or-later
"""Clean sets of spline-keyed motion, made from the captured clips in several manners.

Sizes differ as well: a figure s times as tall moves sqrt(s) times as slow, as gravity has it
(Froude's law), so that falls stay right.
"""

from dataclasses import replace
from functools import cache

from analysis import Clip
from demo_scenes.captured import resample
from demo_scenes.captured.motions import CapturedMotion

from .captured import motions, source_of
from .case import HALVES, Case
from .key_data import curves_of
from .keying import Keyed, Manner, key_motion
from .posing import clip_of
from .puppet import puppet_of
from .splines import Spline

# A walk's halves are too short to be keyed as shots; `cycles` has them as loops.
SHORTEST_S = 1.0
SIZES = (1.0, 1.25, 0.8, 1.1, 0.9, 1.4)
_MANNERS = (
    Manner(),
    Manner(tolerance=0.6, handles="plain", offsets=(2, 3, 2), gap_s=0.1, crisp=True),
    Manner(tolerance=1.5, offsets=(1, 1, 3), gap_s=0.16),
    Manner(tolerance=1.0, handles="auto", offsets=(2, 2, 1), crisp=True),
    Manner(tolerance=2.0, offsets=(2, 1, 2), gap_s=0.2),
    Manner(tolerance=0.8, handles="auto", offsets=(1, 3, 2), gap_s=0.1),
    Manner(tolerance=1.2, handles="plain", offsets=(1, 2, 2), crisp=True),
)
VARIANTS = 14


def keyed_24() -> list[Case]:
    """Keyed at 24 frames a second."""
    return list(_cases(24.0))


def keyed_30() -> list[Case]:
    """Keyed at 30 frames a second."""
    return list(_cases(30.0))


def keyed_clip(motion: CapturedMotion, fps: float, variant: int, name: str) -> Clip:
    """A captured motion keyed at a frame rate, in one of the variants."""
    size, keyed = key_variant(motion, fps, variant)
    puppet = puppet_of(motion).scaled(size)
    curves = curves_of(puppet, keyed.splines) if variant % 2 else ()
    return clip_of(puppet, keyed.tracks, fps, name=name, curves=curves)


def key_variant(motion: CapturedMotion, fps: float, variant: int) -> tuple[float, Keyed]:
    """The figure's size and its keys, in one of the variants."""
    size = SIZES[variant % len(SIZES)]
    slowed = replace(motion, fps=motion.fps / size**0.5)
    keyed = key_motion(resample(slowed, fps), _MANNERS[variant % len(_MANNERS)])
    splines = {name: sized(name, curve, size) for name, curve in keyed.splines.items()}
    return size, replace(keyed, splines=splines)


@cache  # a blade is put into the hands of half of them, see armed.py
def _cases(fps: float) -> tuple[Case, ...]:
    which = f"keyed_{fps:g}"
    found = []
    for motion in motions():
        if (motion.frame_count - 1) / motion.fps < SHORTEST_S:
            continue
        source = source_of(motion)
        for variant in range(VARIANTS):
            name = f"{which}/{motion.name}.{variant:02}"
            clip = keyed_clip(motion, fps, variant, motion.name)
            found.append(Case(name, source, which, HALVES[source], clip))
    return tuple(found)


def sized(name: str, curve: Spline, size: float) -> Spline:
    """A channel's curve for a figure `size` times as tall."""
    if not name.endswith("place"):
        return curve
    return replace(
        curve,
        values=curve.values * size,
        slopes_in=curve.slopes_in * size,
        slopes_out=curve.slopes_out * size,
    )
