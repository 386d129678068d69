"""The exact model of ``pipeline.exact`` as the reference for every schedule: the best plan of a small job, proven."""
