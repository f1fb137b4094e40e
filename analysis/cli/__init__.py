# SPDX-License-Identifier: GPL-3.0-or-later
"""The command line: one list of options for clips (without Blender) and for .blend files."""

from .file_names import FileNames
from .main import main, stage_of
from .run import check_inputs, run, say

__all__ = ["FileNames", "check_inputs", "main", "run", "say", "stage_of"]
