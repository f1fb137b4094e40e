# SPDX-License-Identifier: GPL-3.0-or-later
"""Every error that a user can cause.

PlumblineError        one sentence: what was found, what was expected, what to do
 ├─ ClipError         a clip's arrays or its file
 └─ SettingsError     an option or a settings value
"""


class PlumblineError(Exception):
    """Base of all expected errors; its text is one sentence fit for the user."""


class ClipError(PlumblineError):
    """A clip's arrays, or the file that should hold them, cannot be used."""


class SettingsError(PlumblineError):
    """An option or a settings value cannot be used."""
