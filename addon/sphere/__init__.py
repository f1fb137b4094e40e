# SPDX-License-Identifier: GPL-3.0-or-later
"""A ball on the character's root, so that its path can be judged alone, as a bouncing ball."""
