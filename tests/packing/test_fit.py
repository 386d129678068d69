"""How many pieces fill a kiln: gaps, layers, stacks and the potter's own count."""

from __future__ import annotations

from time import perf_counter
from typing import Any

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.packing.discs_in_disc import discs_in_disc
from pipeline.packing.discs_in_rectangle import discs_in_rectangle
from pipeline.packing.fit import KilnCount, kiln_counts

FORM = {"form": "beaker", "height_mm": 105.0, "width_mm": 82.0}
FIRING = {"firing": "glaze", "kiln": "front kiln", "gap_mm": 6.0, "stack": 1}
KILN = {
    "kiln": "front kiln",
    "shelf_shape": "round",
    "shelf_width_mm": 480.0,
    "shelf_depth_mm": 480.0,
    "shelves": 5,
    "inside_height_mm": 640.0,
    "shelf_thickness_mm": 15.0,
}
NO_FIT = pl.DataFrame(schema={"firing": pl.String, "kiln": pl.String, "form": pl.String, "pieces": pl.Int64})
SHELF = {"shelf_shape": "rectangular", "shelf_width_mm": 500.0, "shelf_depth_mm": 400.0}


def count(**changes: Any) -> KilnCount:
    """The beaker in the front kiln's glaze firing, with some cells changed."""
    form, firing, kiln = (
        pl.DataFrame([{name: changes.get(name, value) for name, value in sheet.items()}])
        for sheet in (FORM, FIRING, KILN)
    )
    (found,) = kiln_counts(form, firing, kiln, NO_FIT).values()
    return found


@pytest.mark.parametrize(
    ("shelf", "width", "per_layer"),
    [
        # Arithmetic on the table of discs in a disc: (500 + 6) / (90 + 6) = 5.2708, above 5.25232 for 21 pots.
        (500.0, 90.0, 21),
        # (580 + 6) / (80 + 6) = 6.814, above 6.75877 for 37 and below 38's 6.9619 (E. Specht's table, from memory).
        (580.0, 80.0, 37),
        # Rims may come to the edge: a pot as wide as the shelf stands alone, gap or not.
        (300.0, 300.0, 1),
        # (306 + 6) / (98 + 6) = 3: seven pots touch the edge of the shelf.
        (306.0, 98.0, 7),
    ],
)
def test_pots_on_a_round_shelf(shelf: float, width: float, per_layer: int) -> None:
    assert count(shelf_width_mm=shelf, width_mm=width).per_layer == per_layer


def test_a_round_kiln() -> None:
    # 486 / 88 = 5.5227: between 22's 5.43972 and 23's 5.54520. A layer takes 105 + 6 + 15 = 126 mm: 640 / 126 = 5.08.
    assert count() == KilnCount(
        pieces=110,
        layers=5,
        per_layer=22,
        known=False,
        how="5 layers of 22 on the round 480 mm shelf, 6 mm apart",
    )


def test_a_rectangular_kiln() -> None:
    # (500 + 6) / 88 = 5.75 and (400 + 6) / 88 = 4.61: square rows 5 x 4 = 20. Hexagonal rows along the 500: 1 + 3.61 /
    # 0.866 = 5 rows of 5, the shifted ones too as 5.75 is above 5.5: 25.
    found = count(**SHELF, gap_mm=6.0)
    assert (found.layers, found.per_layer, found.pieces) == (5, 25, 125)
    assert found.how == "5 layers of 25 on the 500 by 400 mm shelf, 6 mm apart"


def test_no_gap_towards_the_edges_of_a_rectangular_shelf() -> None:
    # Two pots of 82 mm and 6 mm between them are 170 mm, both ways. On a shelf a hair narrower there is room for three:
    # one in the gap of two, its row 88 x 0.866 = 76.2 mm further on.
    assert count(shelf_shape="rectangular", shelf_width_mm=170.0, shelf_depth_mm=170.0).per_layer == 4
    assert count(shelf_shape="rectangular", shelf_width_mm=169.9, shelf_depth_mm=170.0).per_layer == 3
    assert count(shelf_shape="rectangular", shelf_width_mm=170.0, shelf_depth_mm=169.9).per_layer == 3


def test_shelves_or_height_limit_the_layers() -> None:
    assert count(shelves=3).layers == 3
    # 640 / (300 + 6 + 15) = 1.99; 640 / (299 + 6 + 15) is just 2.
    assert count(height_mm=300.0).layers == 1
    assert count(height_mm=299.0).layers == 2
    # In floats 0.9 / (0.1 + 0.1 + 0.1) is below 3.
    assert count(inside_height_mm=0.9, height_mm=0.1, gap_mm=0.1, shelf_thickness_mm=0.1).layers == 3
    assert count(height_mm=300.0).how == "1 layer of 22 on the round 480 mm shelf, 6 mm apart"


def test_pieces_in_one_another_s_place() -> None:
    # Common practice, no source: bisque may be stacked and stand rim to rim. 480 / 82 = 5.853 holds 26 (5.82818), in
    # twos; 640 / (105 + 15) = 5.33 layers: 5 x 26 x 2.
    found = count(stack=2, gap_mm=0.0)
    assert found.pieces == 260
    assert found.how == "5 layers of 26 places, 2 pieces in each, on the round 480 mm shelf, touching"


def test_what_does_not_fit_counts_nought_and_says_why() -> None:
    assert count(width_mm=480.5).pieces == 0
    assert count(width_mm=480.5).how == "none: 480.5 mm is too wide for the round 480 mm shelf"
    assert count(**SHELF, width_mm=410.0).how == "none: 410 mm is too wide for the 500 by 400 mm shelf"
    assert count(height_mm=620.0).pieces == 0
    assert count(height_mm=620.0).how == (
        "none: 620 mm is too high; with 6 mm above it and 15 mm of shelf it does not fit into 640 mm"
    )


def test_the_potter_s_own_count_wins() -> None:
    forms = pl.DataFrame([FORM, FORM | {"form": "platter", "width_mm": 500.0}])
    firings = pl.DataFrame([FIRING | {"firing": "bisque", "gap_mm": 0.0}, FIRING])
    own = pl.DataFrame(
        [
            {"firing": "glaze", "kiln": "front kiln", "form": "beaker", "pieces": 88},
            {"firing": "glaze", "kiln": "front kiln", "form": "platter", "pieces": 3},
        ]
    )
    counts = kiln_counts(forms, firings, pl.DataFrame([KILN]), own)
    assert list(counts) == [
        ("bisque", "front kiln", "beaker"),
        ("bisque", "front kiln", "platter"),
        ("glaze", "front kiln", "beaker"),
        ("glaze", "front kiln", "platter"),
    ]
    beaker = counts["glaze", "front kiln", "beaker"]
    assert (beaker.pieces, beaker.known) == (88, True)
    assert beaker.how == ("your own count; the sizes give 110 (5 layers of 22 on the round 480 mm shelf, 6 mm apart)")
    assert counts["glaze", "front kiln", "platter"].pieces == 3
    assert counts["bisque", "front kiln", "platter"].pieces == 0
    assert not counts["bisque", "front kiln", "beaker"].known


def test_every_kiln_has_its_own_count() -> None:
    kilns = pl.DataFrame([KILN, KILN | {"kiln": "test kiln", "shelf_width_mm": 200.0, "shelves": 1}])
    firings = pl.DataFrame([FIRING, FIRING | {"kiln": "test kiln"}])
    counts = kiln_counts(pl.DataFrame([FORM]), firings, kilns, NO_FIT)
    # 206 / 88 = 2.34: three pots (2.15470), one layer.
    assert [found.pieces for found in counts.values()] == [110, 3]


def test_no_rows_no_counts() -> None:
    forms, firings, kilns = pl.DataFrame([FORM]), pl.DataFrame([FIRING]), pl.DataFrame([KILN])
    assert kiln_counts(forms.clear(), firings, kilns, NO_FIT) == {}
    assert kiln_counts(forms, firings.clear(), kilns, NO_FIT) == {}


@given(
    shape=st.sampled_from(["round", "rectangular"]),
    width=st.floats(40, 500),
    height=st.floats(20, 500),
    gaps=st.tuples(st.floats(0, 30), st.floats(0, 30)),
    more=st.floats(0, 200),
)
def test_closer_pots_smaller_pots_or_a_larger_kiln_never_hold_less(
    shape: str, width: float, height: float, gaps: tuple[float, float], more: float
) -> None:
    sizes: dict[str, Any] = {"shelf_shape": shape, "width_mm": width, "height_mm": height, "gap_mm": max(gaps)}
    found = count(**sizes).pieces
    # Bisque stands closer than glazed ware.
    assert found <= count(**sizes | {"gap_mm": min(gaps)}).pieces
    assert found >= count(**sizes | {"width_mm": width + more}).pieces
    assert found >= count(**sizes | {"height_mm": height + more}).pieces
    assert found <= count(**sizes | {"shelf_width_mm": 480 + more}).pieces
    assert found <= count(**sizes | {"inside_height_mm": 640 + more}).pieces


def test_ten_forms_in_two_firings_are_quick() -> None:
    forms = pl.DataFrame([FORM | {"form": f"form {place}", "width_mm": 30.0 + 7 * place} for place in range(10)])
    firings = pl.DataFrame([FIRING, FIRING | {"firing": "bisque", "gap_mm": 1.0}])
    kilns, times = pl.DataFrame([KILN]), []
    for _ in range(3):
        discs_in_disc.cache_clear()
        discs_in_rectangle.cache_clear()
        begun = perf_counter()
        assert len(kiln_counts(forms, firings, kilns, NO_FIT)) == 20
        times.append(perf_counter() - begun)
    print(f"20 kiln counts in {min(times) * 1e3:.1f} ms")
    assert min(times) < 0.02  # about 0.002 s
