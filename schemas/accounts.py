"""The accounts that the books post to, by the words that people know them by."""

from __future__ import annotations

RAW = "raw materials"
PACKING = "packing materials"
PART_MADE = "part-made goods"
FINISHED = "finished goods"
INPUT_TAX = "tax on purchases"
SUPPLIERS = "suppliers"
CUSTOMERS = "customers"
OUTPUT_TAX = "tax on sales"
DEPOSITS = "deposits held"
BANK = "bank"
WAGES = "wages"
FIRING = "firing costs"
OVERHEAD = "works overhead"
OTHER_COSTS = "other costs of pieces"
UNABSORBED = "overhead not absorbed"
ABNORMAL_LOSS = "abnormal loss"
SALES = "sales"
COST_OF_SALES = "cost of sales"
DIFFERENCES = "stock differences"

ACCOUNTS = (
    RAW, PACKING, PART_MADE, FINISHED, INPUT_TAX, SUPPLIERS, CUSTOMERS, OUTPUT_TAX, DEPOSITS, BANK, WAGES, FIRING,
    OVERHEAD, OTHER_COSTS, UNABSORBED, ABNORMAL_LOSS, SALES, COST_OF_SALES, DIFFERENCES,
)  # fmt: skip
"""Every account. One that the user has given no code goes by these words."""

BALANCES = (RAW, PACKING, PART_MADE, FINISHED, DEPOSITS)
"""What is carried over from one period to the next, item by item."""
