# SPDX-License-Identifier: GPL-3.0-or-later
"""The share of a bench's cases, as both benches' command lines take it."""

import argparse


def share_of_cases(text: str) -> float:
    """A number above 0 and up to 1; raises ArgumentTypeError, one sentence, for another."""
    share = float(text)
    if not 0.0 < share <= 1.0:
        raise argparse.ArgumentTypeError(f"{text} is no share, expected one above 0 and up to 1")
    return share
