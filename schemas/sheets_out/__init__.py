"""The sheets that come out, one module each."""
