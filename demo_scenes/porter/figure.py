# SPDX-License-Identifier: GPL-3.0-or-later
"""The porter's mannequin as a table of rounded bars, in the rest pose of `bones`.

Metres; the left limbs only, the right ones are mirrored. Bars of one bone carry its weight.
Neighbouring bars share their ends, so that a limb's outline runs on without a bump.
"""

from itertools import pairwise

from .surface import Bar, Point

Bars = dict[str, tuple[Bar, ...]]


TRUNK: Bars = {
    "hips": (
        Bar((0.0, 0.010, 0.915), (0.0, 0.006, 0.990), 0.092, 0.098, 0.062, 0.068),
        Bar((0.0, 0.006, 0.990), (0.0, 0.0, 1.060), 0.098, 0.090, 0.068, 0.052),
        Bar((0.0, 0.010, 0.900), (0.0, 0.016, 0.858), 0.070, 0.052),  # between the thighs
    ),
    "spine.1": (Bar((0.0, 0.0, 1.060), (0.0, -0.004, 1.150), 0.090, 0.086, 0.052, 0.048),),
    "spine.2": (Bar((0.0, -0.004, 1.150), (0.0, -0.002, 1.255), 0.086, 0.094, 0.048, 0.060),),
    "chest": (
        Bar((0.0, -0.002, 1.255), (0.0, 0.004, 1.330), 0.094, 0.097, 0.060, 0.070),
        Bar((0.0, 0.004, 1.330), (0.0, 0.020, 1.405), 0.097, 0.060, 0.070, 0.080),
    ),
    "neck": (Bar((0.0, 0.030, 1.410), (0.0, 0.008, 1.570), 0.066, 0.052),),
    "head": (
        Bar((0.0, 0.008, 1.655), (0.0, -0.018, 1.655), 0.087, 0.084),
        Bar((0.0, -0.026, 1.650), (0.0, -0.044, 1.580), 0.070, 0.046, 0.0, 0.006),  # face and chin
        Bar((0.0, -0.096, 1.650), (0.0, -0.106, 1.620), 0.008, 0.014),  # nose
    ),
}

# The cap, cut off below; its peak makes a turn of the head easy to read.
CAP: Bars = {
    "head": (
        Bar((0.0, 0.006, 1.663), (0.0, -0.020, 1.663), 0.094, 0.091),
        Bar((0.0, -0.085, 1.690), (0.0, -0.155, 1.678), 0.010, 0.008, 0.052, 0.034),
    ),
}
CAP_RIM = 1.672

LEFT_SHOULDER: Bars = {
    "shoulder.L": (
        Bar((0.080, 0.020, 1.400), (0.168, 0.022, 1.396), 0.062, 0.055),
        Bar((0.020, 0.028, 1.470), (0.150, 0.026, 1.415), 0.046, 0.040),  # from neck to shoulder
    ),
}
LEFT_ARM: Bars = {
    "upper_arm.L": (
        Bar((0.184, 0.022, 1.395), (0.214, 0.028, 1.290), 0.054, 0.047),
        Bar((0.214, 0.028, 1.290), (0.256, 0.034, 1.118), 0.047, 0.038),
    ),
    "forearm.L": (
        Bar((0.257, 0.034, 1.112), (0.270, 0.020, 1.040), 0.038, 0.041),
        Bar((0.270, 0.020, 1.040), (0.293, 0.001, 0.872), 0.041, 0.027),
    ),
}

KNUCKLES = 0.787
_PALM_L = (
    Bar((0.296, -0.002, 0.855), (0.302, -0.012, 0.795), 0.018, 0.016),
    Bar((0.294, 0.010, 0.862), (0.300, 0.016, 0.790), 0.020, 0.017),
    Bar((0.294, -0.012, 0.862), (0.302, -0.038, 0.790), 0.020, 0.017),
)
# index to little finger: place along the palm, length
_FINGERS = ((-0.046, 1.0), (-0.025, 1.06), (-0.005, 1.0), (0.014, 0.84))


def _fingers(bends: tuple[tuple[float, float, float], ...], radius: float) -> tuple[Bar, ...]:
    """Four fingers of a left hand through points (x, y from the knuckle, z from the knuckle)."""
    bars = []
    for y, length in _FINGERS:
        ends = [(x, y + length * dy, KNUCKLES + length * dz) for x, dy, dz in bends]
        for i, (a, b) in enumerate(pairwise(ends)):
            bars.append(Bar(a, b, radius - 0.001 * i, radius - 0.001 * (i + 1)))
    return tuple(bars)


# A hand that hangs loose: fingers half curled towards the thigh, thumb ahead.
OPEN_HAND: Bars = {
    "hand.L": (
        *_PALM_L,
        *_fingers(((0.303, 0.0, 0.0), (0.300, -0.007, -0.044), (0.281, -0.013, -0.080)), 0.0125),
        Bar((0.290, -0.020, 0.845), (0.275, -0.060, 0.800), 0.015, 0.012),
        Bar((0.275, -0.060, 0.800), (0.271, -0.068, 0.765), 0.012, 0.010),
    )
}

LEFT_LEG: Bars = {
    "thigh.L": (
        Bar((0.092, 0.004, 0.915), (0.092, -0.012, 0.760), 0.090, 0.078),
        Bar((0.092, -0.012, 0.760), (0.090, -0.026, 0.515), 0.078, 0.053),
    ),
    "shin.L": (
        Bar((0.090, -0.026, 0.505), (0.092, 0.002, 0.390), 0.052, 0.055),
        Bar((0.092, 0.002, 0.390), (0.090, 0.0, 0.100), 0.055, 0.036),
    ),
}

LEFT_SHOE: Bars = {
    "foot.L": (
        Bar((0.090, 0.0, 0.105), (0.090, 0.022, 0.040), 0.041, 0.038),
        Bar((0.083, 0.014, 0.032), (0.076, -0.130, 0.030), 0.034, 0.032),
        Bar((0.097, 0.014, 0.032), (0.106, -0.125, 0.030), 0.034, 0.032),
        Bar((0.090, -0.012, 0.085), (0.088, -0.110, 0.040), 0.038, 0.030),
    ),
    "toe.L": (
        Bar((0.078, -0.145, 0.029), (0.080, -0.195, 0.026), 0.032, 0.027),
        Bar((0.104, -0.140, 0.029), (0.098, -0.188, 0.026), 0.032, 0.027),
    ),
}


def mirrored(bars: Bars) -> Bars:
    """The right-hand twins of left-hand bars."""

    def across(point: Point) -> Point:
        return (-point[0], point[1], point[2])

    return {
        bone.replace(".L", ".R"): tuple(
            Bar(across(bar.a), across(bar.b), bar.radius_a, bar.radius_b) for bar in group
        )
        for bone, group in bars.items()
    }


# A fist around the pole, which runs ahead through the palm.
FIST: Bars = mirrored(
    {
        "hand.L": (
            *_PALM_L,
            *_fingers(
                (
                    (0.304, 0.0, 0.0),
                    (0.300, 0.0, -0.044),
                    (0.262, 0.0, -0.051),
                    (0.240, 0.0, -0.026),
                ),
                0.0135,
            ),
            Bar((0.292, -0.018, 0.845), (0.273, -0.048, 0.800), 0.015, 0.012),
            Bar((0.273, -0.048, 0.800), (0.250, -0.044, 0.793), 0.012, 0.010),
        )
    }
)
# The pole's axis passes here, in the rest pose, and runs ahead.
GRIP: Point = (-0.268, -0.016, 0.766)
