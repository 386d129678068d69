"""The sheets' columns as plain data are those of the schemas that pandera builds."""

from __future__ import annotations

import pytest

from schemas import SHEETS_IN, SHEETS_OUT
from schemas.answers import ANSWERS
from schemas.sheet import Sheet, columns, sheet_key

MODELS: dict[str, type[Sheet]] = {**SHEETS_IN, **SHEETS_OUT, **ANSWERS}


@pytest.mark.parametrize("name", MODELS)
def test_columns_are_those_of_the_schema(name: str) -> None:
    schema = MODELS[name].to_schema()
    assert sheet_key(MODELS[name]) == tuple(schema.unique or ())
    assert [column.name for column in columns(MODELS[name])] == list(schema.columns)
    for column in columns(MODELS[name]):
        built = schema.columns[column.name]
        rules = {check.name: check.statistics for check in built.checks}
        # Reading looks at these alone before it asks pandera.
        assert rules.keys() <= {
            "isin",
            "greater_than_or_equal_to",
            "greater_than",
            "less_than_or_equal_to",
            "less_than",
        }
        assert (column.title, column.needed) == (built.title, not built.nullable)
        assert column.options == tuple(rules.get("isin", {}).get("allowed_values", ()))
        assert column.low == rules.get("greater_than_or_equal_to", {}).get("min_value")
        assert column.above == rules.get("greater_than", {}).get("min_value")
        assert column.high == rules.get("less_than_or_equal_to", {}).get("max_value")
        assert column.below == rules.get("less_than", {}).get("max_value")
        assert built.dtype.type == column.type
