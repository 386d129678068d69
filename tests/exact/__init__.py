"""An exact reference for the schedule: the best plan of a small job, proven by a general solver.

It reads the sheets by way of ``pipeline.checking``, which shares no code with what makes schedules.
"""
