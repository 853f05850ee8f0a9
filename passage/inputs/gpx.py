"""Routes and recorded tracks from a GPX file, version 1.1 or 1.0 (the Topografix schemas).

The file may come from anyone: nothing it declares is expanded, nothing it names is fetched, and it is bounded in size,
depth and points. Waypoints that belong to no route are passed over, for they have no order.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from io import BytesIO
from typing import TYPE_CHECKING, Literal, NamedTuple
from xml.sax import SAXParseException
from xml.sax.handler import ContentHandler, feature_namespaces

from passage.errors import Fault, InputFaults
from passage.inputs.position import parse_position
from passage.inputs.text import read_bytes
from passage.positions import Position
from passage.units import Misread, shown

if TYPE_CHECKING:
    from pathlib import Path
    from xml.sax.xmlreader import AttributesNSImpl, Locator

NAMESPACES = ("http://www.topografix.com/GPX/1/1", "http://www.topografix.com/GPX/1/0")
MOST_POINTS = 20_000
MOST_FAULTS = 10  # told of one file; whoever wrote one wrong point often wrote them all wrong
DEEPEST = 50  # elements within one another
POINTS = ("rte/rtept", "trk/trkseg/trkpt")
_DECIMAL = re.compile(r"[+-]?[0-9]{1,3}(?:\.[0-9]{0,30})?")  # what the schema calls a decimal, in degrees

Kind = Literal["route", "track"]
_KINDS: dict[str, Kind] = {"rte": "route", "trk": "track"}


class Point(NamedTuple):
    """A point, the line of the file on which it begins, and its name, empty where it has none."""

    line: int
    position: Position
    name: str = ""


@dataclass
class GpxLine:
    """A route, or a recorded track with its segments joined: its name, empty where it has none, and its points."""

    kind: Kind
    name: str = ""
    points: list[Point] = field(default_factory=list)


def read_gpx(path: Path) -> list[GpxLine]:
    """Every route and track in the file, in its order. Raises InputFaults with what is wrong in it."""
    from defusedxml import DefusedXmlException
    from defusedxml.sax import make_parser

    reader = _Reader(path.name)
    parser = make_parser()
    parser.forbid_dtd = True
    parser.setFeature(feature_namespaces, True)
    parser.setContentHandler(reader)
    try:
        parser.parse(BytesIO(read_bytes(path)))
    except DefusedXmlException:
        raise reader.fault("a document type declaration", "take it out; GPX has none") from None
    except SAXParseException as error:
        raise reader.fault(f"not XML: {error.getMessage()}", "mend it here", error.getLineNumber()) from None
    except (ValueError, LookupError) as error:
        raise reader.fault(f"not XML: {error}", "save the file as UTF-8", 1) from None
    if reader.faults:
        raise InputFaults(reader.faults[:MOST_FAULTS])
    return reader.found


class _Reader(ContentHandler):
    """Takes lines and points as the parser comes upon them."""

    def __init__(self, file: str) -> None:
        super().__init__()
        self.file = file
        self.found: list[GpxLine] = []
        self.faults: list[Fault] = []
        self._namespace: str | None = None
        self._inside: list[str] = []
        self._text: list[str] = []
        self._points = 0
        self._locator: Locator | None = None

    def fault(self, found: str, wanted: str, line: int | None = None) -> InputFaults:
        return InputFaults([Fault(self.file, self._line() if line is None else line, "", found, wanted)])

    def setDocumentLocator(self, locator: Locator) -> None:
        self._locator = locator

    def startElementNS(self, name: tuple[str | None, str], qname: str | None, attrs: AttributesNSImpl) -> None:
        namespace, tag = name
        if not self._inside:
            self._begin(namespace, tag)
        if len(self._inside) == DEEPEST:
            raise self.fault(f"elements more than {DEEPEST} deep", "this is no GPX that a program for sailors writes")
        self._inside.append(tag if namespace == self._namespace else "")
        self._text.clear()
        if (place := self._place()) in _KINDS:
            self.found.append(GpxLine(_KINDS[place]))
        elif place in POINTS:
            self._take_point(attrs)

    def endElementNS(self, name: tuple[str | None, str], qname: str | None) -> None:
        *around, tag = self._place().split("/")
        if tag == "name" and (holder := "/".join(around)) in (*_KINDS, *POINTS):
            self._take_name(holder, " ".join("".join(self._text).split()))
        self._text.clear()
        self._inside.pop()

    def characters(self, content: str) -> None:
        self._text.append(content)

    def _place(self) -> str:
        return "/".join(self._inside[1:])

    def _line(self) -> int:
        return (self._locator.getLineNumber() or 0) if self._locator else 0

    def _begin(self, namespace: str | None, tag: str) -> None:
        if tag != "gpx" or namespace not in NAMESPACES:
            found = f"{shown(tag)} in {shown(namespace) if namespace else 'no namespace'}"
            raise self.fault(found, f"a GPX file begins with gpx in {NAMESPACES[0]} or .../1/0")
        self._namespace = namespace

    def _take_point(self, attrs: AttributesNSImpl) -> None:
        self._points += 1
        if self._points > MOST_POINTS:
            wanted = "keep the one route or track you sail, thinned where it was written"
            raise self.fault(f"more than {MOST_POINTS:,} points", wanted)
        try:
            position = _position(attrs)
        except Misread as misread:
            self.faults.append(Fault(self.file, self._line(), self._inside[-1], misread.found, misread.wanted))
            position = Position(0.0, 0.0)
        self.found[-1].points.append(Point(self._line(), position))

    def _take_name(self, holder: str, name: str) -> None:
        if holder in _KINDS:
            self.found[-1].name = name
        else:
            self.found[-1].points[-1] = self.found[-1].points[-1]._replace(name=name)


def _position(attrs: AttributesNSImpl) -> Position:
    """Where a point lies, from its attributes. Raises Misread."""
    return parse_position(typed(_decimal(attrs, "lat"), _decimal(attrs, "lon")))


def typed(*degrees: float) -> str:
    """Degrees as the voyage file would give them: ``-33.9 18.42`` for latitude and longitude."""
    return " ".join(f"{each:.9f}".rstrip("0").rstrip(".") for each in degrees)


def _decimal(attrs: AttributesNSImpl, key: str) -> float:
    written = attrs.get((None, key))
    if written is None:
        raise Misread(f"no {key}", "a point needs lat and lon")
    if not _DECIMAL.fullmatch(written.strip()):
        raise Misread(f"{key}={shown(written)}", "give decimal degrees, such as -33.90333")
    return float(written)
