# SPDX-License-Identifier: GPL-3.0-or-later
"""Causes, asked of the rig itself: a copy of it is posed with other values on some channels."""
