# SPDX-License-Identifier: GPL-3.0-or-later
"""Results told bit by bit, for those that must be the very same."""

from dataclasses import fields, is_dataclass

import numpy as np


def bits(value):
    """What holds the same values, of the same types, to the last bit, is told alike."""
    if isinstance(value, np.ndarray):
        return value.dtype.str, value.shape, value.tobytes()
    if isinstance(value, float):
        return float(value).hex()
    if is_dataclass(value):
        told = [(each.name, bits(getattr(value, each.name))) for each in fields(value)]
        return type(value).__name__, *told
    if isinstance(value, dict):
        return tuple((key, bits(each)) for key, each in value.items())
    if isinstance(value, tuple | list):
        return tuple(bits(each) for each in value)
    return repr(value)
