# SPDX-License-Identifier: GPL-3.0-or-later
"""What the file keeps of checks: one text, named Plumbline, that holds JSON.

What people said is written at once, by operators that can be undone. What was measured is held in
memory, as a check changes no file, and goes into the text as the user saves.
"""
