# SPDX-License-Identifier: GPL-3.0-or-later
"""Keeps the answers of a check true while keys are polished: only what changed is read again."""
