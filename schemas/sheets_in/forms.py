"""What the studio makes."""

from __future__ import annotations

from schemas.fields import Link, Money, grams, millimetres, number, percent, price, text, whole
from schemas.sheet import Sheet


class Forms(Sheet):
    """A form that the studio makes."""

    class Config:
        """A form stands once."""

        unique = ["form"]

    form: str = text("the form's name", example="beaker", needed=True)
    method: str = text("how it is made", example="thrown", default="thrown", link=Link((("stages", "method"),)))
    clay: str = text(
        "the clay or blend it is made of",
        example="buff stoneware",
        needed=True,
        link=Link((("clay_stock", "clay"), ("clay_blends", "clay"))),
    )
    ball_g: float = grams("clay in the ball", example="380", needed=True, gt=0)
    added_clay_g: float = grams("clay on top of the ball: handle, lid, knob, spout", example="60", ge=0, default="0")
    trimmings_g: float = grams("wet clay that turning takes off", example="40", ge=0, default="0")
    height_mm: float = millimetres("height, fired", example="105", gt=0, default="worked out from the ball")
    width_mm: float = millimetres(
        "greatest width, fired, handle included", example="82", gt=0, default="worked out from the ball"
    )
    capacity_ml: float = number("what it holds, fired", unit="ml", example="320", gt=0)
    bat: str = text(
        "size of the bat it is thrown on",
        example="small",
        default="no bat",
        link=Link((("bats_and_boards", "item"),)),
    )
    per_board: int = whole("pieces that stand on one board", example="12", ge=1)
    glaze_g: float = grams("dry glaze on one piece", example="28", ge=0, default="0")
    least_extra: int = whole("at least so many spares", example="2", ge=0, default="0")
    seconds_pct: float = percent(
        "share of the pieces lost at the last stage that loses any which sell as seconds",
        example="50",
        ge=0,
        le=100,
        default="0",
    )
    second_price: Money = price("what a second sells for", example="7.00", ge=0, default="not counted")
    other_cost: Money = price("packaging and the like, each", example="0.35", ge=0, default="0")
