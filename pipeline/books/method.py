"""By what method the books are made, in words."""

from __future__ import annotations

from schemas.settings import AVERAGE, IN, Settings


def method(settings: Settings) -> str:
    """The method in a sentence or two, as it is printed with every sheet of the books."""
    order = "at the average price of all there is" if settings.stock_value == AVERAGE else "oldest first"
    overhead = "overhead at the rate of normal hours" if settings.stock_overhead == IN else "no overhead"
    return (
        f"At cost without tax, {order}. In the value of part-made and finished goods are materials, paid work, energy "
        f"and wear of firings, and {overhead}; the owner's own time is not. Part-made pieces count by how much of a "
        "finished one's cost they have; good pieces bear what is normally lost. The method stays the same every year."
    )
