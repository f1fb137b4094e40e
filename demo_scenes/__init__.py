# SPDX-License-Identifier: GPL-3.0-or-later
"""Demo scenes: a porter on a quay at dawn, captured motion, and the faults planted in them."""
