# SPDX-License-Identifier: GPL-3.0-or-later
"""The Blender side of Plumbline: samples rigs, asks the analysis, shows what it says."""

from . import command
from .ui import registration


def register() -> None:
    """Called by Blender when the extension is enabled."""
    registration.register()
    command.register()


def unregister() -> None:
    """Called by Blender when the extension is disabled: leaves nothing behind."""
    command.unregister()
    registration.unregister()
