# SPDX-License-Identifier: GPL-3.0-or-later
"""What is drawn over the viewport: arrays without the GPU, and drawing without maths."""
