# SPDX-License-Identifier: GPL-3.0-or-later
"""How smooth a stroke is: the arc length of its speed's spectrum.

Spectral arc length (SPARC) of Balasubramanian, Melendez-Calderon & Burdet 2012, IEEE TBME
59:2126-2136, and Balasubramanian et al. 2015, JNER 12:112: the speed profile's magnitude
spectrum, scaled to 1 at 0 Hz and cut off where it stays under a threshold, is measured as a
curve over a frequency axis of length 1. -1.4 is a minimum-jerk reach; more strokes, jolts or
stops in it make the number more negative. It hardly depends on amplitude, duration or rate.
"""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

CUT_OFF_HZ = 10.0
THRESHOLD = 0.05
# The transform is padded to 2 to the power of this more than it needs.
PAD = 4


def sparc(speed: Floats, rate_hz: float) -> float:
    """Spectral arc length of a speed profile (T,) of `rate_hz` samples a second.

    0 where nothing moves or fewer than three samples are there.
    """
    if len(speed) < 3 or not np.any(speed > 0.0):
        return 0.0
    count = int(2 ** (np.ceil(np.log2(len(speed))) + PAD))
    spectrum = np.abs(np.fft.rfft(speed, count))
    spectrum = spectrum / spectrum[0]
    frequency = np.arange(len(spectrum)) * (rate_hz / count)
    inside = frequency <= CUT_OFF_HZ
    spectrum, frequency = spectrum[inside], frequency[inside]
    last = int(np.flatnonzero(spectrum >= THRESHOLD)[-1]) + 1
    spectrum, frequency = spectrum[:last], frequency[:last]
    if last < 2:
        return 0.0
    along = np.diff(frequency) / (frequency[-1] - frequency[0])
    return -float(np.sum(np.hypot(along, np.diff(spectrum))))
