"""The best schedule that there is, or as near as the work allowed goes, by a general solver (OR-Tools CP-SAT).

It reads the sheets by way of ``pipeline.checking`` and shares no code with ``pipeline.scheduling``.
"""

from __future__ import annotations

from importlib.util import find_spec


def solver_is_there() -> bool:
    """Whether the package of the solver, which is an extra, is installed."""
    return find_spec("ortools") is not None
