# SPDX-License-Identifier: GPL-3.0-or-later
"""The command line: one list of options for clips (without Blender) and for .blend files."""

from .main import main, stage_of
from .outputs import safe_name
from .run import check_inputs, run, say

__all__ = ["check_inputs", "main", "run", "safe_name", "say", "stage_of"]
