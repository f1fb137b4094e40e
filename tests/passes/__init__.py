# SPDX-License-Identifier: GPL-3.0-or-later
"""How well findings are followed from pass to pass: second passes with known edits."""
