"""The choices that a settings sheet may make, with their defaults."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Literal, NamedTuple

OLDEST_FIRST, AVERAGE = "oldest first", "average"
"""What the stock is valued at. IAS 2.25 allows either, the same every year."""

IN, OUT = "in", "out"
"""Whether overhead is part of the value of part-made and finished goods."""

NONE, SOLD, BOUGHT, BOTH = "none", "sales", "purchases", "both"
"""Which prices of the sheets hold the tax."""

QUICK, THOROUGH = "quick", "thorough"
"""How the best schedule is looked for."""

SettingKind = Literal["day", "text", "cover", "number", "price", "percent", "choice"]

Units = Literal["metric", "us"]
"""The units that people are shown."""

CHEAPEST: Literal["cheapest"] = "cheapest"
"""The ``loss_cover`` by which the spares are begun that cost least."""

Cover = float | Literal["cheapest"] | None
"""How many spares are begun: so that enough come out with a probability, at the least cost, or (None) on average."""


class Setting(NamedTuple):
    """A choice as people meet it: its name, kind of value, meaning, example, default and why that default."""

    name: str
    kind: SettingKind
    title: str
    example: str
    default: str
    why: str
    unit: str = ""
    options: tuple[str, ...] = ()


SETTINGS: tuple[Setting, ...] = (
    Setting("start", "day", "first day of the plan", "2027-03-01", "today", "a plan begins on the day it is made"),
    Setting("currency", "text", "currency of all money, as its three letters", "EUR", "none", "two decimal places"),
    Setting(
        "loss_cover",
        "cover",
        "`expected`, `cheapest`, or how sure it must be that enough come out: 0.9 means nine times in ten",
        "0.9",
        "expected",
        "enough pieces on average",
    ),
    Setting("spare_clay_pct", "percent", "clay on top of what the pieces take", "5", "5", "common practice", "%"),
    Setting(
        "reclaim_pct",
        "percent",
        "share of the trimmings counted on as clay again",
        "50",
        "0",
        "reclaim is counted on only if you say so",
        "%",
    ),
    Setting(
        "spare_value_pct",
        "percent",
        "what a good piece that nobody ordered is worth, as a share of its price (for `loss_cover` cheapest)",
        "50",
        "0",
        "a spare is worth nothing until somebody buys it",
        "%",
    ),
    Setting("energy_price", "price", "price of a kilowatt-hour", "0.28", "none", "no energy cost is counted"),
    Setting("overhead_per_hour", "price", "overhead for an hour of work", "4.50", "none", "no overhead is counted"),
    Setting(
        "overhead_per_month",
        "price",
        "rent, insurance and the like of a month; with normal_hours_per_month it gives the overhead of an hour",
        "480",
        "none",
        "overhead_per_hour is taken as it stands",
    ),
    Setting(
        "normal_hours_per_month",
        "number",
        "hours of work in an ordinary month, of all who work",
        "110",
        "none",
        "overhead_per_hour is taken as it stands",
        "h",
    ),
    Setting(
        "wanted_hourly_rate",
        "price",
        "what an hour of the owner's own time should earn",
        "20",
        "none",
        "no price is worked back from it",
    ),
    Setting(
        "tax_pct",
        "percent",
        "tax on sales and purchases: added to prices, or taken out of those that hold it (`prices_with_tax`)",
        "20",
        "0",
        "no tax is reckoned",
        "%",
    ),
    Setting(
        "prices_with_tax",
        "choice",
        "which prices of the sheets hold the tax: `sales` (unit_price, second_price), `purchases` (clay with its "
        "carriage, materials, other_cost of forms), `both` or `none`; costs and margins are always without it",
        "sales",
        NONE,
        "the tax comes on top of every price",
        options=(NONE, SOLD, BOUGHT, BOTH),
    ),
    Setting(
        "stock_value",
        "choice",
        "which price counts for clay and materials of several lots: of the oldest first, or the average of all",
        "average",
        OLDEST_FIRST,
        "what came first is used first, and costs what it cost",
        options=(OLDEST_FIRST, AVERAGE),
    ),
    Setting(
        "stock_overhead",
        "choice",
        "whether overhead is `in` what part-made and finished pieces are worth, or `out`; the same every year",
        IN,
        OUT,
        "the book cost of a piece is without it",
        options=(IN, OUT),
    ),
    Setting(
        "books_to",
        "day",
        "last day that the books take in, such as the last of the tax year",
        "2027-03-31",
        "last day of the plan",
        "the books take in the whole plan",
    ),
    Setting(
        "decimal_mark",
        "choice",
        "the mark before decimals, in a sheet that does not show it: is `1,234` a thousand or little more than one?",
        ",",
        "none",
        "a number that may be two things is a problem",
        options=(".", ","),
    ),
    Setting(
        "date_order",
        "choice",
        "what comes first in a date, in a column that does not show it: is `3/5/2027` in May or in March?",
        "day",
        "none",
        "a date that may be two days is a problem",
        options=("day", "month", "year"),
    ),
    Setting(
        "units",
        "choice",
        "units on the screen, in the workbook and the calendar: `metric`, or `us`, pounds and ounces; CSVs stay metric",
        "us",
        "metric",
        "as the CSVs are",
        options=("metric", "us"),
    ),
    Setting(
        "search",
        "choice",
        "how the best schedule is looked for: `quick`, or `thorough`, which takes longer and a package more",
        THOROUGH,
        QUICK,
        "a plan in a second, and in most shops none can be less late",
        options=(QUICK, THOROUGH),
    ),
)
"""Every choice, in the order in which people are told of them."""

MINOR_DIGITS = {
    "BIF": 0, "CLP": 0, "DJF": 0, "GNF": 0, "ISK": 0, "JPY": 0, "KMF": 0, "KRW": 0, "PYG": 0, "RWF": 0,
    "UGX": 0, "UYI": 0, "VND": 0, "VUV": 0, "XAF": 0, "XOF": 0, "XPF": 0,
    "BHD": 3, "IQD": 3, "JOD": 3, "KWD": 3, "LYD": 3, "OMR": 3, "TND": 3,
}  # fmt: skip
"""Decimal places of the currencies that have not two. Source: ISO 4217 list one, from memory."""


@dataclass(frozen=True)
class Settings:
    """The choices of a job, typed. ``loss_cover`` is None for ``expected``; an empty ``decimal_mark`` or
    ``date_order`` decides nothing; ``books_to`` None is the last day of the plan."""

    start: date
    currency: str = ""
    loss_cover: Cover = None
    spare_clay_pct: float = 5.0
    reclaim_pct: float = 0.0
    spare_value_pct: float = 0.0
    energy_price: Decimal | None = None
    overhead_per_hour: Decimal | None = None
    overhead_per_month: Decimal | None = None
    normal_hours_per_month: float | None = None
    wanted_hourly_rate: Decimal | None = None
    tax_pct: float = 0.0
    prices_with_tax: str = NONE
    stock_value: str = OLDEST_FIRST
    stock_overhead: str = OUT
    books_to: date | None = None
    decimal_mark: str = ""
    date_order: str = ""
    units: Units = "metric"
    search: str = QUICK

    @property
    def with_tax(self) -> Fraction:
        """What a price without tax is multiplied by to be one with it: 6/5 at 20 %."""
        return 1 + Fraction(str(self.tax_pct)) / 100

    def holds_tax(self, kind: str) -> bool:
        """Whether the prices of the sheets hold tax that has to come out; ``kind`` is that of sales or purchases."""
        return bool(self.tax_pct) and self.prices_with_tax in (kind, BOTH)

    @property
    def minor_digits(self) -> int:
        """Decimal places of an amount of money."""
        return MINOR_DIGITS.get(self.currency, 2)
