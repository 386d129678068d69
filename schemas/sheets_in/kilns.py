"""The kilns."""

from __future__ import annotations

from schemas.fields import choice, millimetres, text, whole
from schemas.sheet import Sheet


class Kilns(Sheet):
    """A kiln and the room inside it."""

    class Config:
        """A kiln stands once."""

        unique = ["kiln"]

    kiln: str = text("the kiln's name", example="front kiln", needed=True)
    shelf_shape: str = choice("shape of the shelves", ("round", "rectangular"), example="round", default="round")
    shelf_width_mm: float = millimetres("width of a shelf, or its diameter", example="480", gt=0)
    shelf_depth_mm: float = millimetres("depth of a shelf", example="480", gt=0, default="as the width")
    shelves: int = whole("shelves owned, the floor included", example="5", ge=1)
    inside_height_mm: float = millimetres("height inside", example="640", gt=0)
    shelf_thickness_mm: float = millimetres("thickness of a shelf", example="15", ge=0, default="15")
