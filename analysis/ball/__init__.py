# SPDX-License-Identifier: GPL-3.0-or-later
"""A ball that stands for the body: joined to its figure, and its path told arc by arc."""
