"""How many pieces go through each stage."""

from __future__ import annotations

from schemas.fields import percent, text, whole
from schemas.sheet import Sheet


class Pieces(Sheet):
    """A line at a stage."""

    class Config:
        """A line meets each step of its method once."""

        unique = ["order", "form", "glaze", "step"]

    order: str = text("the order", needed=True)
    form: str = text("the form", needed=True)
    glaze: str = text("the glaze")
    step: int = whole("the stage's place in the method", needed=True, ge=1)
    stage: str = text("the stage", needed=True)
    pieces_in: int = whole("pieces that go through the stage, those already done included", needed=True, ge=0)
    loss_pct: float = percent("share of them lost", needed=True, ge=0, lt=100)
    pieces_out: int = whole("pieces that go on; after the last stage, good pieces expected", needed=True, ge=0)
    already_done: int = whole("pieces of `pieces_in` that have had this stage", needed=True, ge=0)
