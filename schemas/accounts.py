"""The accounts that the journal posts to, by the words that people know them by."""

from __future__ import annotations

RAW = "raw materials"
PART_MADE = "part-made goods"
FINISHED = "finished goods"
INPUT_TAX = "tax on purchases"
OUTPUT_TAX = "tax on sales"
SUPPLIERS = "suppliers"
CUSTOMERS = "customers"
DEPOSITS = "deposits held"
WAGES = "wages"
FIRING = "firing costs"
SALES = "sales"
COST_OF_SALES = "cost of sales"
DIFFERENCES = "stock differences"

ACCOUNTS = (
    RAW, PART_MADE, FINISHED, INPUT_TAX, OUTPUT_TAX, SUPPLIERS, CUSTOMERS, DEPOSITS, WAGES, FIRING, SALES,
    COST_OF_SALES, DIFFERENCES,
)  # fmt: skip
"""Every account. One that the user has given no code goes by these words."""

BALANCES = (RAW, PART_MADE, FINISHED, DEPOSITS)
"""What is carried over from one period to the next, item by item."""
