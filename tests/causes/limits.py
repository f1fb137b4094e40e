# SPDX-License-Identifier: GPL-3.0-or-later
"""What a run of the bench of causes is held to: what was measured, row -> share -> value.

A check that is better now may raise its line here; none is lowered for a run.
"""

from types import MappingProxyType

# A run fails where a share that good would give its result once in so many samples.
SURPRISE = 1e-3

# Measured on the first case of each kind in the shots of half A (87 faults).
SHARES = MappingProxyType(
    {
        "single faults": MappingProxyType(
            {"told": 0.45, "first of told": 0.83, "key of told": 0.75, "mended of told": 0.63}
        ),
        "spike": MappingProxyType({"told": 0.73, "first of told": 0.95, "mended of told": 0.95}),
        "flip": MappingProxyType({"first of told": 0.95, "mended of told": 0.9}),
    }
)
