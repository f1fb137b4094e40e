# SPDX-License-Identifier: GPL-3.0-or-later
"""What a run of the bench of causes is held to: what was measured, row -> share -> value.

A check that is better now may raise its line here; none is lowered for a run.
"""

from types import MappingProxyType

# A run fails where a share that good would give its result once in so many samples.
SURPRISE = 1e-3

SHARES = MappingProxyType[str, MappingProxyType[str, float]]({})
