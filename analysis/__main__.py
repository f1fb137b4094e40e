# SPDX-License-Identifier: GPL-3.0-or-later
"""Entry point of `python -m analysis`."""

import sys

from .cli import main

if __name__ == "__main__":
    sys.exit(main())
