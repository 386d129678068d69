"""What holds for every test."""

from hypothesis import settings

# How long an example takes says nothing about its truth, and a busy machine would fail it. All else is as the present
# profile has it: in continuous integration the same examples in every run.
settings.register_profile("untimed", parent=settings(), deadline=None)
settings.load_profile("untimed")
