"""Hostile contents for ``tests.fuzz``: a table of what a file, a value or an option may be, all invented."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

EVIL = "\x1b[2J\u202e\u200b\ud800"
ZIP = bytes.fromhex("504b0304140000000800")

# A whole file: bytes, a link's target as text, or None for a named pipe that nobody writes to.
WHOLE: dict[str, Callable[[], bytes | str | None]] = {
    "empty": lambda: b"",
    "a pipe": lambda: None,
    "a link to itself": lambda: "loop",
    "a link to nowhere": lambda: "/no/such/place",
    "a device without end": lambda: "/dev/zero",
    "a folder": lambda: "/",
    "5 MB of spaces": lambda: b" " * 5_000_000,
    "a byte that is no text": lambda: b"name = \xff\n",
    "UTF-16": lambda: 'name = "x"'.encode("utf-16"),
    "noughts": lambda: bytes(100_000),
    "dots": lambda: ".".join(["a"] * 30_000).encode() + b" = 1\n",
    "boxes": lambda: b"x = " + b"[" * 5_000,
    "boxes by the thousand": lambda: b"".join(b"x%d = %s\n" % (n, b"[" * 90 + b"]" * 90) for n in range(3000)),
    "60,000 keys": lambda: b"".join(b"k%d = 1\n" % n for n in range(60_000)),
    "20,000 rows": lambda: b"tws,60,90\n" + b"x,y,z\n" * 20_000,
    "20,000 columns": lambda: b",".join(b"%d" % n for n in range(20_000)) + b"\n",
    "a number without end": lambda: b"x = " + b"9" * 100_000 + b"\n",
    "lines ended by returns": lambda: b'[voyage]\rname = "x"\r',
    "entities": lambda: b'<!DOCTYPE g [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;">]><gpx>&b;</gpx>',
    "elements without end": lambda: b'<gpx xmlns="http://www.topografix.com/GPX/1/1">' + b"<a>" * 50_000,
    "a zigzag": lambda: _gpx((30 + 0.5 * (n % 2), -20 + 0.001 * n) for n in range(20_000)),
    "names that steer": lambda: _gpx(((-33.9, 17.0), (-30.0, 10.0)), "\u202egnp\u200b"),
    "a line of the log": lambda: b"0123456789abcdef 1 noon 2027-02-11T12:00:00Z 2027-02-11T12:00:00Z - {}\n",
}
BINARY: dict[str, Callable[[], bytes | str | None]] = {
    "no GRIB": lambda: bytes(20_000_000),
    "GRIB and no more": lambda: b"GRIB" * 100_000,
    "GRIB that claims much": lambda: b"GRIB\x00\x00\x00\x02" + b"\x7f" * 8 + bytes(3_000_000),
    "a head of HDF5": lambda: b"\x89HDF\r\n\x1a\n" + bytes(512),
    "a head of NetCDF 3": lambda: b"CDF\x01\xff\xff\xff\xff" + bytes(64),
    "a head of SQLite": lambda: b"SQLite format 3\0" + bytes(4000),
    "a head of zip": lambda: ZIP * 100,
}


def _gpx(points: object, name: str = "P") -> bytes:
    inside = "".join(f'<rtept lat="{lat}" lon="{lon}"><name>{name}{lon}</name></rtept>' for lat, lon in points)  # type: ignore[attr-defined]
    return (
        f'<gpx version="1.1" creator="t" xmlns="http://www.topografix.com/GPX/1/1"><rte>{inside}</rte></gpx>'.encode()
    )


VALUES = (
    *('""', '"x"', "0", "-1", "1e308", "nan", "inf", "-inf", "1e-320", "9" * 400, "true", "[]", "{}", "[1]", "[[]]"),
    *('"0 L"', '"1 L"', '"99999999999 L"', '"1 kn"', '"0 kn"', '"200 kn"', '"1e3 W"', '"0 %"', '"100 %"', '"1000 %"'),
    *('"1 m"', '"22 m"', '"0.1 m"', '"500 nm"', '"0 h"', '"1 h"', '"1 in 1"', '"-5 degC"', '"24 V"', '"360 deg"'),
    *("0001-01-01T00:00:00+10:00", "9999-12-31T23:59:59-10:00", "1979-05-27", "07:32:00", "2027-02-30"),
    *('"2027-02-10 08:00"', '"2029-12-31 23:59"', '"0227-06-06 12:00"', '"2027-02-10"'),
    *('"90 00.0S 17 00.0E"', '"0 00.0N 180 00.0E"', '"33 50.0S 17 00.1E"', '"0 0N 0 0E"', '"48 51N 2 21E"'),
    *('"none"', '"."', '"/dev/zero"', '"../voyage/voyage.toml"', '"boat.toml"', '"\\u0000"', '"\\u202e\\u200b"'),
    *(f'"{"W" * 80}"', f'"{"a" * 3000}"', "'''\nx\n'''", '"great circle"', '"rhumb line"', '"composite"'),
)
BOATS = (
    *('"hers"', '"hers/"', '"./hers"', '"../voyage/hers"', '"bare"', '"ring"', '"ring/x"', '"."', '".."', '"/"'),
    *('"/dev/null"', '"boat.toml"', '""', "7", '["hers"]', f'"{"../" * 300}"', f'"{"a" * 3000}"', '"\\u0000"'),
)
TEXTS = (
    *("", "\n", '"', "'", "[", "]]", "#", "=", ",", ".", "-", "9", "\t", "\r", "\0", "\x1b[31m", "\x9b", "\u202e"),
    *("\u200b", "\ufeff", "é", "中", "🜨", "[[waypoint]]\n", "[reserve]\n", "x = 1\n", "=1+1", ";", "\\", "%s", "{0}"),
)
_TIMES = (
    *("", "12:00", "2027-02-13 12:00", "2027-02-12", "0227-06-06 12:00", "0001-01-01 00:00+10:00"),
    *(
        "9999-12-31 23:00-10:00",
        "2038-01-19 03:14",
        "2100-01-01 00:00",
        "25:00",
        "now",
        "2027-02-13T12:00:00Z",
        EVIL[:8],
    ),
)
_DAYS = (
    "2027-02-10",
    "2027-02-10 08:00",
    "2025-01-01",
    "2029-12-31 23:59",
    "2030-01-01",
    "0001-01-01",
    "9999-12-31",
    "x",
)
_PLACES = ("33 54.2S 18 25.5E", "0 0N 0 0E", "89 59N 0 0E", "90S 0E", "x", "33S 17E", "0 0N 180 0W", "48 51N 2 21E")

# What an option or an argument of that name may be given; others take what stands above.
OPTIONS: dict[str, tuple[str, ...]] = {
    "time": _TIMES,
    **dict.fromkeys(("depart", "first", "today"), _DAYS),
    **dict.fromkeys(("position", "at_anchor"), _PLACES),
    "wind": ("SE 18", "135 F5", "calm", "SE F13", "400 10", "NNNW 3", "E 119", "nan"),
    "water": ("keel tank=60", "bow tank=1e9", "=", "keel tank", "x=3", "60", "keel tank=nan"),
    "sleep": ("skipper=6", "mate=25", "x", "skipper=nan"),
    "battery": ("80 %", "12.6 V", "101", "0", "-1", "nan"),
    "what": (
        "motor 20 h",
        "ration 2 L",
        "speed 80 %",
        "rudder lost",
        "speed 0 %",
        "motor -1 h",
        "ration nan L",
        "x",
        "",
    ),
    "every": ("24 h", "1 h", "0 h", "999 h", "x", "nan h"),
    "edition": ("front", "rota,distress", "sources", "x", "", ",", "night"),
    "words": ("ship astern", "\u202ehsa\u200b", "x" * 2500, " ", "\x1b]0;x\x07", "'; DROP TABLE entry; --"),
    "number": ("1", "2", "3", "99", "0", "-1", "99999999999999999999"),
    "log": ("110", "1e9", "-1", "nan", "0"),
    "course": ("300", "360", "361", "-1", "nan"),
}
