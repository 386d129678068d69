"""``python -m pipeline`` is the command ``wareboard``."""

from pipeline.cli import main

main()
