# SPDX-License-Identifier: GPL-3.0-or-later
"""How often each layer was built: while nothing changes, these numbers stand still."""

from collections import Counter

# By names of layers; `texts` are laid out, `letters` are drawn for them.
builds: Counter[str] = Counter()
