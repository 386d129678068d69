"""The parts of a workbook's file, and what packaging asks of them.

Source: ECMA-376 part 2 (Open Packaging Conventions): names of parts, content types, relationships.
"""

from __future__ import annotations

import posixpath
from collections import Counter
from collections.abc import Iterable, Iterator
from functools import cache
from io import BytesIO
from typing import NamedTuple
from xml.etree import ElementTree as ET
from zipfile import ZipFile

TYPES = "[Content_Types].xml"

SPREADSHEET = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
RELATED = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}"

OFFICE = "application/vnd.openxmlformats-officedocument"
CONTENT = {
    "officeDocument": f"{OFFICE}.spreadsheetml.sheet.main+xml",
    "worksheet": f"{OFFICE}.spreadsheetml.worksheet+xml",
    "styles": f"{OFFICE}.spreadsheetml.styles+xml",
    "sharedStrings": f"{OFFICE}.spreadsheetml.sharedStrings+xml",
    "comments": f"{OFFICE}.spreadsheetml.comments+xml",
    "theme": f"{OFFICE}.theme+xml",
    "drawing": f"{OFFICE}.drawing+xml",
    "chart": f"{OFFICE}.drawingml.chart+xml",
    "vmlDrawing": f"{OFFICE}.vmlDrawing",
    "extended-properties": f"{OFFICE}.extended-properties+xml",
    "core-properties": "application/vnd.openxmlformats-package.core-properties+xml",
}
"""The content type of what a relationship of a type leads to: all types that our workbooks have."""


class Related(NamedTuple):
    """A relationship: its type's last word, and the part that it leads to."""

    kind: str
    part: str


class Parts:
    """A workbook's file, opened."""

    def __init__(self, data: bytes) -> None:
        with ZipFile(BytesIO(data)) as file:
            self.names = file.namelist()
            self._contents = {name: file.read(name) for name in self.names}
        self.tree = cache(self._tree)

    def _tree(self, name: str) -> ET.Element:
        """A part as a tree. Raises ``ParseError`` if it is no XML; characters that XML has not are none, either."""
        return ET.fromstring(self._contents[name])

    def related(self, name: str) -> dict[str, Related]:
        """The relationships of a part by their ids; "" stands for the whole file."""
        rels = rels_of(name)
        if rels not in self._contents:
            return {}
        return {
            one.attrib["Id"]: Related(
                one.attrib["Type"].rsplit("/", 1)[-1],
                posixpath.normpath(posixpath.join("/", posixpath.dirname(name), one.attrib["Target"]))[1:],
            )
            for one in self.tree(rels)
        }

    def of(self, name: str, kind: str) -> list[str]:
        """The parts of a type that a part leads to."""
        return [one.part for one in self.related(name).values() if one.kind == kind]


def rels_of(name: str) -> str:
    """The part in which the relationships of another stand."""
    folder, file = posixpath.split(name)
    return posixpath.join(folder, "_rels", f"{file}.rels")


def more_than_once(names: Iterable[str]) -> list[str]:
    """Those that stand there more than once, whether in capitals or not."""
    return [name for name, count in Counter(name.lower() for name in names).items() if count > 1]


def packaging_faults(parts: Parts) -> Iterator[str]:
    """What keeps the parts from being read or found."""
    for name in parts.names:
        try:
            parts.tree(name)
        except ET.ParseError as fault:
            yield f"{name}: not XML, {fault}"
            return
    types = [
        (one.get("PartName") or f".{one.get('Extension')}", one.attrib["ContentType"]) for one in parts.tree(TYPES)
    ]
    for name in more_than_once(name for name, _ in types):
        yield f"{TYPES}: {name} more than once"
    contents = dict(types)
    for name in contents:
        if name.startswith("/") and name[1:] not in parts.names:
            yield f"{TYPES}: {name} is not there"
    for source in ("", *parts.names):
        rels = rels_of(source)
        if rels not in parts.names:
            continue
        for name in more_than_once(one.attrib["Id"] for one in parts.tree(rels)):
            yield f"{rels}: {name} more than once"
        for to in parts.related(source).values():
            if to.part not in parts.names:
                yield f"{rels}: {to.part} is not there"
            content = contents.get(f"/{to.part}", contents.get(posixpath.splitext(to.part)[1]))
            if content != CONTENT.get(to.kind):
                yield f"{TYPES}: {to.part} as {content}, and is led to as {to.kind}"
