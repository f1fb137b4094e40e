# SPDX-License-Identifier: GPL-3.0-or-later
"""What several checks need, computed once from a clip: bodies, height, facing, strikes."""

from .bodies import Body
from .core import SIDE, Basis, build_basis

__all__ = ["SIDE", "Basis", "Body", "build_basis"]
