"""The steps: each a pure function that makes one result sheet from the sheets that its parameters name."""
