# SPDX-License-Identifier: GPL-3.0-or-later
"""Every error that a user can cause.

PlumblineError        one sentence: what was found, what was expected, what to do
 ├─ ClipError         a clip's arrays or its file
 │   └─ FieldError    a field of its meta
 └─ SettingsError     an option or a settings value
"""


class PlumblineError(Exception):
    """Base of all expected errors; its text is one sentence fit for the user."""


class ClipError(PlumblineError):
    """A clip's arrays, or the file that should hold them, cannot be used."""


class FieldError(ClipError):
    """A field of a clip's meta does not fit; `what` says which, what it is and what was expected,
    without saying where it stands."""

    def __init__(self, what: str) -> None:
        super().__init__(f"meta.{what}: correct it in the clip's meta.")
        self.what = what


class SettingsError(PlumblineError):
    """An option or a settings value cannot be used."""
