"""How many pieces of each form fill a kiln alone, worked out once a plan."""

from __future__ import annotations

from pipeline.packing import fit
from pipeline.remembered import remembered

kiln_counts = remembered(fit.kiln_counts)
"""As ``fit.kiln_counts``, of which ``packing`` itself, geometry alone, remembers nothing."""
