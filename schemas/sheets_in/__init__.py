"""The sheets that people fill in, one module each."""
