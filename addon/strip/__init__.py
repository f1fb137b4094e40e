# SPDX-License-Identifier: GPL-3.0-or-later
"""The spacing strip: a small chart in a corner of the viewport, how fast one point goes."""
