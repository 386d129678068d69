"""Is a schedule one that can be worked? Every rule checked from the sheets alone.

Nothing here is shared with what makes schedules, so that one mistake cannot hide in both.
"""
