"""README's generated blocks: the text between ``<!-- begin: NAME -->`` and ``<!-- end: NAME -->``."""

from __future__ import annotations

import re
from collections.abc import Mapping

BLOCK = re.compile(r"(<!-- begin: ([^>]+) -->\n)(.*?)(<!-- end: \2 -->)", re.DOTALL)


def block(text: str, name: str) -> str:
    """What stands in a block. Raises KeyError if there is none of that name."""
    insides: dict[str, str] = {found: inside for _, found, inside, _ in BLOCK.findall(text)}
    return insides[name]


def rewritten(text: str, blocks: Mapping[str, str]) -> str:
    """The text with the named blocks filled anew, all else as it was.

    Raises KeyError naming the blocks for which the text has no place.
    """
    places = {name for _, name, _, _ in BLOCK.findall(text)}
    if lost := sorted(set(blocks) - places):
        raise KeyError(f"README has no block for: {', '.join(lost)}")

    def filled(match: re.Match[str]) -> str:
        begin, name, inside, end = match.groups()
        return f"{begin}{blocks[name]}\n{end}" if name in blocks else f"{begin}{inside}{end}"

    return BLOCK.sub(filled, text)
