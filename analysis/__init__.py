# SPDX-License-Identifier: GPL-3.0-or-later
"""Measure character motion: clips in, findings out.

This package is numpy and the standard library only; it never imports Blender.
Data crosses its border as frozen dataclasses of arrays:

>>> from analysis import Settings, check_clip, load_clip     # doctest: +SKIP
>>> shot = check_clip(load_clip("walk.npz"), Settings(cycle="yes"))  # doctest: +SKIP

The stages are fixed: clip -> basis -> evidence -> merge -> severity -> order.
"""

import sys
from importlib.util import find_spec

if find_spec("numpy") is None:
    if sys.argv[:1] == ["-m"]:  # so it is while `python -m analysis` looks for its module
        sys.stderr.write(
            f"python -m analysis needs NumPy, and {sys.executable} has none: run "
            "`python -m pip install numpy`, or another Python.\n"
        )
        sys.exit(2)
    raise ModuleNotFoundError("analysis needs NumPy 1.26 or newer", name="numpy")

from ._version import __version__
from .clip import Clip
from .clip_io import load_clip, save_clip
from .errors import ClipError, PlumblineError, SettingsError
from .finding import Finding, Shot
from .meta import Event, Follow, Meta, Prop
from .pipeline import check_clip
from .report import build_report, dump_report, write_report
from .settings import Settings

__all__ = [
    "Clip",
    "ClipError",
    "Event",
    "Finding",
    "Follow",
    "Meta",
    "PlumblineError",
    "Prop",
    "Settings",
    "SettingsError",
    "Shot",
    "__version__",
    "build_report",
    "check_clip",
    "dump_report",
    "load_clip",
    "save_clip",
    "write_report",
]
