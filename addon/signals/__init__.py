# SPDX-License-Identifier: GPL-3.0-or-later
"""Measured signals as curves on an empty of our own, to be read in the Graph Editor."""
