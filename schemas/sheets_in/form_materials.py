"""What a form takes beside clay and glaze."""

from __future__ import annotations

from schemas.fields import Link, grams, text
from schemas.sheet import Sheet


class FormMaterials(Sheet):
    """A material that a form takes beside clay and glaze: wax, packaging and the like."""

    class Config:
        """A material stands once a form and stage."""

        unique = ["form", "material", "stage"]

    form: str = text("the form", example="beaker", needed=True, link=Link((("forms", "form"),)))
    material: str = text(
        "a material of the sheet materials", example="wood wool", needed=True, link=Link((("materials", "material"),))
    )
    each_g: float = grams("how much of it one piece takes", example="35", needed=True, gt=0)
    stage: str = text(
        "the stage at which each piece takes it",
        example="glaze",
        default="when it is sold",
        link=Link((("stages", "stage"),)),
    )
