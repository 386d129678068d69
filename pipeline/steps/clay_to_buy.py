"""The clay-buying list."""

from __future__ import annotations

import polars as pl

from pipeline.buying.balance import clay_balance
from pipeline.clay import line_clay, to_kg, to_mg
from schemas.settings import Settings
from schemas.sheet import shaped
from schemas.sheets_out.clay_to_buy import ClayToBuy


def clay_to_buy(
    pieces: pl.DataFrame,
    packs_to_buy: pl.DataFrame,
    forms: pl.DataFrame,
    clay_stock: pl.DataFrame,
    clay_blends: pl.DataFrame,
    *,
    settings: Settings,
) -> pl.DataFrame:
    """What to buy of each clay, all its packs together, in the order of the clay stock.

    short = needed + reserve - on hand - reclaim counted on, never below nought; left = on hand + reclaim + bought -
    needed. Supplier, bag and price are those of what is bought, or, where nothing is, of the newest lot; where packs of
    several prices are bought, bag and price are blank, and ``packs_to_buy`` has a row for each.

    61.2 kg needed, 8 kg on hand, bags of 12.5 kg: 53.2 kg short, so 5 bags, 62.5 kg, and 9.3 kg are left.
    """
    lines = line_clay(pieces, forms, clay_blends, settings)
    one = pl.len() == 1
    bought = packs_to_buy.group_by("clay", maintain_order=True).agg(
        seller=pl.col("supplier").drop_nulls().unique(maintain_order=True).str.join("; "),
        only_kg=pl.when(one).then(pl.col("pack_kg").first()),
        only_price=pl.when(one).then(pl.col("pack_price").first()),
        bags_to_buy=pl.col("packs").sum(),
        bought_mg=to_mg(pl.col("bought_kg")).sum(),
        cost=pl.col("cost").sum(),
        order_by=pl.col("order_by").min(),
    )
    none = pl.col("bags_to_buy").is_null()
    bought_mg = pl.col("bought_mg").fill_null(0)
    listed = clay_balance(lines, clay_stock).join(bought, on="clay", how="left", maintain_order="left")
    return shaped(
        ClayToBuy,
        listed.with_columns(
            supplier=pl.when(none).then("supplier").otherwise(pl.col("seller").replace("", None)),
            needed_kg=to_kg(pl.col("need_mg")),
            on_hand_kg=to_kg(pl.col("hand_mg")),
            keep_kg=to_kg(pl.col("keep_mg")),
            reclaim_kg=to_kg(pl.col("again_mg")),
            short_kg=to_kg(pl.col("short_mg")),
            bag_kg=pl.when(none).then("bag_kg").otherwise("only_kg"),
            bags_to_buy=pl.col("bags_to_buy").fill_null(0),
            bought_kg=to_kg(bought_mg),
            left_kg=to_kg(pl.col("hand_mg") + pl.col("again_mg") + bought_mg - pl.col("need_mg")),
            bag_price=pl.when(none).then("bag_price").otherwise("only_price"),
            cost=pl.col("cost").fill_null(0),
        ),
    )
