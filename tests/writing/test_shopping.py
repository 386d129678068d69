"""What to buy, on the screen: clay always, the rest as far as its sheets can be read."""

from __future__ import annotations

import datetime as dt
import shutil
from decimal import Decimal
from pathlib import Path

import pytest

from pipeline.cli import FOR_BUYING, NOT_FOR_BUYING, SUPPLIES
from pipeline.plan import buying_list
from pipeline.terminal import read
from pipeline.writing.shopping import shopping_list
from schemas.problem import problems_sheet
from tests.random_sheets import Cells
from tests.shops import make_job

STUDIO = Path(__file__).resolve().parents[2] / "sample_data" / "studio"

STAGES: list[Cells] = [{"stage": "throw"}, {"stage": "glaze"}]


def shown(**sheets: list[Cells]) -> list[str]:
    """The list for 450 cups of a kilogram, 20 g of oat glaze on each, its lines without the spaces between columns."""
    cups: dict[str, list[Cells]] = {
        "orders": [{"order": "A", "form": "cup", "quantity": 450, "glaze": "oat"}],
        "forms": [{"form": "cup", "ball_g": 1000.0, "glaze_g": 20.0}],
        "clay_stock": [{"clay": "buff", "bags": 0, "bag_price": Decimal("13.80")}],
        "stages": STAGES,
    }
    job = make_job(**cups | sheets)
    outcome = buying_list(job, problems_sheet(()), {})
    return [" ".join(line.split()) for line in shopping_list(job, outcome.results).splitlines()]


def test_clay_alone_is_a_table_of_clay() -> None:
    heads, buff = shown()
    assert heads.startswith("clay supplier needed_kg")
    # 450 kg in bags of 12.5 kg: 36, at 13.80: 496.80.
    assert buff == "buff 450 0 0 0 450 12.5 36 450 0 13.80 496.80"


def test_a_price_list_shows_the_packs_and_what_the_next_break_saves() -> None:
    price: Cells = {"clay": "buff", "supplier": "North Yard", "pack_kg": 12.5, "pack_price": Decimal("13.80")}
    lines = shown(clay_prices=[price, price | {"from_packs": 40, "pack_price": Decimal("13.00")}])
    assert "Packs of clay:" in lines
    assert "buff North Yard 12.5 36 13.80 0.00 496.80" in lines
    # 40 at 13.00 are 520.00, 23.20 more; four more at 13.80 are 55.20.
    assert lines[-1] == (
        "buff: 4 packs more would make 40, from which a pack costs 13.00: 23.20 more now, instead of 55.20 later. "
        "Saves 32.00."
    )


def test_what_is_short_beside_clay_is_listed_and_what_is_not_is_not() -> None:
    recipe: list[Cells] = [{"glaze": "oat", "material": name, "percent": 50.0} for name in ("feldspar", "quartz")]
    there: Cells = {"material": "quartz", "loose_kg": 4.5}
    lines = shown(glazes=recipe, materials=[{"material": "feldspar", "pack_kg": 5.0, "pack_price": Decimal(9)}, there])
    # 9 kg of glaze, half of it feldspar: 4.5 kg, a pack of 5.
    assert lines[-3] == "Beside clay:"
    assert lines[-1] == "feldspar 4.5 0 0 4.5 5 1 5 0.5 9.00 9.00"
    enough = shown(glazes=recipe, materials=[{"material": "feldspar", "loose_kg": 9.0}, there])
    assert enough[-1] == "Beside clay nothing is short."


def test_faulty_materials_do_not_stop_the_clay(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    shop = Path(shutil.copytree(STUDIO, tmp_path / "shop"))
    (shop / "materials.csv").write_text("material,packs\nfeldspar,-1\n", encoding="utf-8")
    given = read(shop, dt.datetime(2027, 3, 1), FOR_BUYING, unread=NOT_FOR_BUYING, spared=SUPPLIES)
    assert given.job.materials.is_empty()
    told = capsys.readouterr().err
    assert "materials row 2, packs: `-1` cannot be" in told
    assert "So this is worked out without glazes, materials, glaze_buckets, form_materials." in told
