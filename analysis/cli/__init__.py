# SPDX-License-Identifier: GPL-3.0-or-later
"""The command line: one list of options for clips (without Blender) and for .blend files."""

from .answer import Answer, Failure
from .file_names import FileNames
from .learning import learn_from
from .main import main, stage_of, still_text
from .places import clip_names
from .run import check_inputs, run
from .saying import say

__all__ = [
    "Answer",
    "Failure",
    "FileNames",
    "check_inputs",
    "clip_names",
    "learn_from",
    "main",
    "run",
    "say",
    "stage_of",
    "still_text",
]
