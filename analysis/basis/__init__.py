# SPDX-License-Identifier: GPL-3.0-or-later
"""What several checks need, computed once from a clip.

Bodies, height, facing, foot strikes; soles, ground, plants, flights, the centre of mass.
"""

from .bodies import Body
from .body_marks import SIDE
from .build import build_basis
from .core import Basis

__all__ = ["SIDE", "Basis", "Body", "build_basis"]
