"""What holds for every test."""

import gc
import os

from hypothesis import settings

from pipeline.cli import RUBBISH

# As the commands themselves have it: all that is imported would else be searched for rubbish over and over.
gc.set_threshold(*RUBBISH)

# openpyxl reads by lxml where that is installed: a tool of the tests brings it, and who only plans mostly has it not.
os.environ["OPENPYXL_LXML"] = "False"

# How long an example takes says nothing about its truth, and a busy machine would fail it. All else is as the present
# profile has it: in continuous integration the same examples in every run.
settings.register_profile("untimed", parent=settings(), deadline=None)
settings.load_profile("untimed")
