# SPDX-License-Identifier: GPL-3.0-or-later
"""Operators, session state and the side panel; panels only read what is stored."""
