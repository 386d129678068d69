"""How many pieces fill a kiln alone: circles on a round or rectangular shelf, and layers by height.

Lengths are in diameters of a piece, gap included, wherever no unit is named.
"""

from __future__ import annotations

from math import sqrt

NOISE = 1e-9
"""The relative error of a ratio of lengths that counts as an exact fit: half a millionth of a millimetre on a shelf."""

HEXAGONAL_PITCH = sqrt(3) / 2
"""Distance of neighbouring rows whose discs lie in one another's gaps."""
