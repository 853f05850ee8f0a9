"""What is wrong with a line that is no TOML, in the words of one who has never heard of it, and the line mended."""

from __future__ import annotations

import json
import re
from typing import NamedTuple

from passage.units import shown

CURLY = str.maketrans(dict.fromkeys("“”„‟«»″", '"') | dict.fromkeys("‘’‚‛′", "'"))
LONGEST_READ, FARTHEST_ROWS = 1000, 200  # of a line, and of lines back, that are looked at
LONGEST_ROW = 100  # letters of a mended line in a sentence
_PAIR = re.compile(r"""\s*([\w-]+(?:\s*\.\s*[\w-]+)*|"[^"\n]*")\s*=\s*(.*?)\s*""")


class Wrong(NamedTuple):
    """found: what stands there; wanted: what would be right; line: where, from 1."""

    found: str
    wanted: str
    line: int


def in_plain_words(message: str, text: str, line: int) -> Wrong:
    """message: the TOML reader's own, without its place; line: from 1, where it stopped."""
    rows = text.splitlines()
    line = _opened(rows, line) if message.startswith("Unclosed") else line
    row = rows[line - 1][:LONGEST_READ].strip() if 0 < line <= len(rows) else ""
    found, wanted = _said(message, row, text)
    return Wrong(found, wanted, line)


def _opened(rows: list[str], line: int) -> int:
    """The line on which a list begins that is still open where the reader stopped."""
    last = min(line, len(rows))
    for at in range(last, max(last - FARTHEST_ROWS, 0), -1):
        row = rows[at - 1][:LONGEST_READ]
        if row.count("[") > row.count("]") or row.count("{") > row.count("}") or re.search(r'"\s+"', row):
            return at
    return line


def _said(message: str, row: str, text: str) -> tuple[str, str]:
    if row != row.translate(CURLY):
        return "curly quotes", f"write straight ones, as on the keyboard: {_shown(row.translate(CURLY))}"
    if message.startswith("Invalid date"):
        return f"not TOML: {message}", 'there is no such day or hour; write it in quotes, such as "2027-02-10 08:00"'
    if message.startswith("Cannot"):
        return _twice(row, text)
    if row.startswith("["):
        return _header(row, message)
    if pair := _PAIR.fullmatch(row):
        return _pair(pair[1], pair[2], message)
    return _no_pair(row, message)


def _shown(row: str) -> str:
    return row if len(row) <= LONGEST_ROW else f"{row[:LONGEST_ROW]}..."


def _twice(row: str, text: str) -> tuple[str, str]:
    name = re.sub(r"[\[\]\s]|=.*", "", row)
    if row.startswith("[") and re.search(rf"(?m)^\s*\[\[\s*{re.escape(name)}\s*\]\]", text):
        return f"[{name}] beside tables [[{name}]]", f"there may be several of them: write [[{name}]] each time"
    return f"{name} stands here twice", "keep one of the two"


def _header(row: str, message: str) -> tuple[str, str]:
    name = re.sub(r"[\[\]]", "", row.split("#")[0]).strip()
    whole = f"[[{name}]]" if row.startswith("[[") else f"[{name}]"
    if re.search(r"\w\s+\w", name):
        return f"a table's name of several words, {_shown(row)}", f"write {_shown('_'.join(whole.split()))}"
    if "Expected ']" in message:
        return f"a table's name without its closing bracket, {_shown(row)}", f"write {_shown(whole)}"
    return shown(row), "a table's name stands alone on its line in brackets, and is one word"


def _pair(key: str, value: str, message: str) -> tuple[str, str]:
    def mended(right: str) -> str:
        return _shown(f"{key} = {right}")

    bare, _, remark = value.partition("//")
    if not value or value.startswith("#"):
        return f"nothing stands behind {key} =", "write its value, or leave the line out"
    if value.startswith('"'):
        return _quoted(key, value, message)
    if value[0] in "[{":
        return _list(key, value)
    if remark and not value.startswith("//"):
        return "a remark behind //", f"a remark begins with #: {mended(f'{bare.strip()}  # {remark.strip()}')}"
    if value.lower() in ("yes", "no", "on", "off", "true", "false"):
        return f"{value} for a yes or a no", "write true or false, in small letters and without quotes"
    if re.fullmatch(r"[+-]?\d+,\d+", value):
        return f"{value}, with a comma", f"write a decimal point: {mended(value.replace(',', '.'))}"
    plain = re.sub(r"\s+#.*", "", value).strip("\"'").rstrip(",;").strip()
    return (
        f"{shown(plain)[1:-1]} without quotes",
        f"put it in double quotes: {mended(json.dumps(plain, ensure_ascii=False))}",
    )


def _quoted(key: str, value: str, message: str) -> tuple[str, str]:
    closing = value.find('"', 1)
    if "Unescaped" in message or "\\" in value[: closing if closing > 0 else None]:
        return "a backslash inside quotes", f"write / in its place: {_shown(f'{key} = ' + value.replace(chr(92), '/'))}"
    if closing < 0:
        return f"no closing quote behind {_shown(value)}", f'write {_shown(f"{key} = {value}")}"'
    inside, rest = value[: closing + 1], value[closing + 1 :].strip()
    if rest.startswith("//"):
        return "a remark behind //", f"a remark begins with #: {_shown(f'{key} = {inside}  # {rest[2:].strip()}')}"
    if rest and set(rest) <= set(",;."):
        return f"{rest} at the end of the line", f"take it out: {_shown(f'{key} = {inside}')}"
    wanted = "one pair of double quotes stands round the whole value; a remark behind it begins with #"
    return f"{shown(rest)[1:-1]} behind the closing quote", wanted


def _list(key: str, value: str) -> tuple[str, str]:
    if re.search(r'"\s+"', value):
        parted = re.sub(r'("[^"]*")\s+(?=")', r"\1, ", value)
        return "no comma between two entries", f"write {_shown(f'{key} = {parted}')}"
    if key_in := re.search(r"[{,]\s*(\w+(?:\s+\w+)+)\s*=", value):
        return f"{key_in[1]} without quotes", f'a key of several words stands in double quotes: "{key_in[1]}" = ...'
    close = "]" if value[0] == "[" else "}"
    return f"a list without its closing bracket {close}", f"close it with {close}, and part its entries with commas"


def _no_pair(row: str, message: str) -> tuple[str, str]:
    left, equals, right = row.partition("=")
    if equals and re.fullmatch(r"\w+(?:\s+\w+)+\s*", left):
        return (
            f"a key of several words, {left.strip()}",
            f"a key is one word: {_shown('_'.join(left.split()) + ' =' + right)}",
        )
    if colon := re.fullmatch(r'\s*([\w-]+)\s*:\s*(.+)|\s*([\w-]+)\s+(".*)', row):
        key, value = (colon[1], colon[2]) if colon[1] else (colon[3], colon[4])
        return "no equals sign", f"write an equals sign between the two: {_shown(f'{key} = {value}')}"
    if row and not equals:
        return f"{shown(row)[1:-1]}, which is no key with a value", f"a remark begins with #: {_shown(f'# {row}')}"
    return f"not TOML: {message}", "mend it here"
