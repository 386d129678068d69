"""The workbook's content as plain data: tabs, tables, formulas with their values, charts, print set-up."""

from __future__ import annotations

from pipeline.writing.book.cells import Book
from pipeline.writing.book.tabs import book

__all__ = ["Book", "book"]
