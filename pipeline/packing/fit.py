"""How many pieces of each form fill a kiln alone, in each firing."""

from __future__ import annotations

from dataclasses import dataclass
from math import floor
from typing import Any

import polars as pl

from pipeline.packing import NOISE
from pipeline.packing.discs_in_disc import discs_in_disc
from pipeline.packing.discs_in_rectangle import discs_in_rectangle


@dataclass(frozen=True)
class KilnCount:
    """How many pieces of one form fill a kiln alone.

    ``layers`` of ``per_layer`` places come from the sizes, even where ``pieces`` is the potter's own count (``known``).
    ``how`` says in words where ``pieces`` comes from, or why it is 0.
    """

    pieces: int
    layers: int
    per_layer: int
    known: bool
    how: str


def kiln_counts(
    forms: pl.DataFrame, firings: pl.DataFrame, kilns: pl.DataFrame, kiln_fit: pl.DataFrame
) -> dict[tuple[str, str, str], KilnCount]:
    """The count of every form in every firing of a kiln, by (firing, kiln, form), in the sheets' order.

    The frames are the job's sheets: lengths in mm, one row of ``firings`` and ``kiln_fit`` a kiln. A form is taken as
    round, its greatest width the diameter. The gap lies between pieces and above their rims, not towards the shelf's
    edge. A form too wide for the shelf or too high for the kiln gets 0 pieces, unless ``kiln_fit`` knows better.
    """
    kiln_by_name = {kiln["kiln"]: kiln for kiln in kilns.iter_rows(named=True)}
    own_counts = {
        (row["firing"], row["kiln"], row["form"]): int(row["pieces"]) for row in kiln_fit.iter_rows(named=True)
    }
    form_rows = list(forms.select("form", "height_mm", "width_mm").iter_rows(named=True))
    counts = {}
    for firing in firings.iter_rows(named=True):
        kiln = kiln_by_name[firing["kiln"]]
        for form in form_rows:
            key = (firing["firing"], firing["kiln"], form["form"])
            counts[key] = _with_own_count(_from_sizes(form, firing, kiln), own_counts.get(key))
    return counts


def _with_own_count(sizes: KilnCount, own: int | None) -> KilnCount:
    """The potter's own count, where there is one, beside what the sizes say."""
    if own is None:
        return sizes
    how = f"your own count; the sizes give {sizes.pieces} ({sizes.how})"
    return KilnCount(pieces=own, layers=sizes.layers, per_layer=sizes.per_layer, known=True, how=how)


def _from_sizes(form: dict[str, Any], firing: dict[str, Any], kiln: dict[str, Any]) -> KilnCount:
    """The count that the sizes of piece, shelf and kiln give."""
    layers = _layers(form["height_mm"], firing["gap_mm"], kiln)
    per_layer = _per_layer(form["width_mm"], firing["gap_mm"], kiln)
    pieces = layers * per_layer * int(firing["stack"])
    how = _layout(layers, per_layer, firing, kiln) if pieces else _why_none(layers, form, firing, kiln)
    return KilnCount(pieces=pieces, layers=layers, per_layer=per_layer, known=False, how=how)


def _layers(height: float, gap: float, kiln: dict[str, Any]) -> int:
    """Shelves that stand above one another, each with its own thickness, the piece and the gap above its rim."""
    layer_height: float = height + gap + kiln["shelf_thickness_mm"]
    room = floor(float(kiln["inside_height_mm"]) / layer_height * (1 + NOISE))
    return min(room, int(kiln["shelves"]))


def _per_layer(width: float, gap: float, kiln: dict[str, Any]) -> int:
    """Places on one shelf: piece and shelf both taken a gap wider leave it between pieces and none at the edge."""
    across: float = kiln["shelf_width_mm"] + gap
    if kiln["shelf_shape"] == "round":
        return discs_in_disc(across / (width + gap))
    return discs_in_rectangle(across, kiln["shelf_depth_mm"] + gap, width + gap)


def _layout(layers: int, per_layer: int, firing: dict[str, Any], kiln: dict[str, Any]) -> str:
    """As "2 layers of 23 on the round 480 mm shelf, 6 mm apart"."""
    rows = "1 layer" if layers == 1 else f"{layers} layers"
    stacks = "" if firing["stack"] == 1 else f" places, {firing['stack']} pieces in each,"
    apart = f"{firing['gap_mm']:g} mm apart" if firing["gap_mm"] else "touching"
    return f"{rows} of {per_layer}{stacks} on the {_shelf(kiln)}, {apart}"


def _why_none(layers: int, form: dict[str, Any], firing: dict[str, Any], kiln: dict[str, Any]) -> str:
    """Why a kiln takes no piece of a form."""
    if layers:
        return f"none: {form['width_mm']:g} mm is too wide for the {_shelf(kiln)}"
    return (
        f"none: {form['height_mm']:g} mm is too high; with {firing['gap_mm']:g} mm above it and "
        f"{kiln['shelf_thickness_mm']:g} mm of shelf it does not fit into {kiln['inside_height_mm']:g} mm"
    )


def _shelf(kiln: dict[str, Any]) -> str:
    """A shelf by its shape and size."""
    if kiln["shelf_shape"] == "round":
        return f"round {kiln['shelf_width_mm']:g} mm shelf"
    return f"{kiln['shelf_width_mm']:g} by {kiln['shelf_depth_mm']:g} mm shelf"
