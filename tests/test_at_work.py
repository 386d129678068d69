"""A person who looks at a terminal is told that work goes on; nobody else is."""

from __future__ import annotations

import io
import sys
from threading import Event

import pytest

from pipeline import terminal


class Screen(io.StringIO):
    """A terminal, or a file, that takes down what is written and tells when a word of it is there."""

    def __init__(self, *, looked_at: bool) -> None:
        super().__init__()
        self.looked_at = looked_at
        self.told = Event()

    def isatty(self) -> bool:
        return self.looked_at

    def write(self, text: str) -> int:
        written = super().write(text)
        if "Working" in text:
            self.told.set()
        return written


def test_who_looks_is_told_and_the_line_is_cleared(monkeypatch: pytest.MonkeyPatch) -> None:
    screen = Screen(looked_at=True)
    monkeypatch.setattr(sys, "stderr", screen)
    monkeypatch.setattr(terminal, "PATIENCE", 0.001)
    with terminal.at_work():
        assert screen.told.wait(30)
    assert screen.getvalue().endswith(terminal.WIPE)


def test_where_nothing_was_told_there_is_nothing_to_clear(monkeypatch: pytest.MonkeyPatch) -> None:
    screen = Screen(looked_at=True)
    monkeypatch.setattr(sys, "stderr", screen)
    with terminal.at_work():
        pass
    terminal.say("Done.")
    assert screen.getvalue() == "Done.\n"


def test_a_file_gets_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    screen = Screen(looked_at=False)
    monkeypatch.setattr(sys, "stderr", screen)
    monkeypatch.setattr(terminal, "PATIENCE", 0.001)
    with terminal.at_work():
        assert not screen.told.wait(0.05)
        terminal.say("Done.")
    assert screen.getvalue() == "Done.\n"
