"""A file that is not TOML at all: where, and in plain words what is wrong.

The rules follow TOML 1.0.0 (toml.io/en/v1.0.0); the first phrases are the standard library's.
"""

from __future__ import annotations

import re
import tomllib

from hillwright.errors import Problem

_AT = re.compile(r"\(at (?:line (\d+), column (\d+)|end of document)\)")
_TWICE = re.compile(r"(?:declare|redefine namespace|mutate immutable namespace) \((.*?),?\)")

# what the standard library says -> what is wrong, what would be right
_PLAIN = (
    ("Cannot overwrite a value", "this key is there twice", "keep one of them"),
    ("Duplicate inline table key", "a key between { and } is there twice", "keep one of them"),
    ("Expected '='", "there is no = behind the key", 'write key = value, as in width = "24 in"'),
    ("Invalid statement", "this is no key, section or comment", "start a comment with #"),
    (
        "Invalid initial character for a key",
        "a key cannot start like this",
        'write key = value, as in width = "24 in"',
    ),
    ("Expected ']]'", "the section's brackets are not closed", "write it as in [[exclusion]]"),
    ("Expected ']'", "the section's bracket is not closed", "write it as in [cell]"),
    ("Unterminated string", "a text has no closing quotes", "close it with the same quotes"),
    ("Illegal character", "a text has no closing quotes on its line", 'close it with "'),
    ("Expected '\"'", "a text has no closing quotes", 'close it with "'),
    ('Expected "\'"', "a text has no closing quotes", "close it with '"),
    ("Unescaped", "a backslash means something else in a text", "write / instead"),
    ("Escaped character", "a backslash means something else in a text", "write / instead"),
    (
        "Unclosed array",
        "a list is not closed, or a comma is missing",
        "part with , and close with ]",
    ),
    ("Unclosed inline table", "{ is not closed, or a comma is missing", "close it with }"),
    ("Invalid date", "this date or time does not exist", "write it as in 2026-05-31"),
    ("Expected newline", "there is more behind the value", "put text in quotes, one key on a line"),
    ("Found invalid character '\\n'", "a text has no closing quotes", "close it with '"),
    ("Found invalid character", "a character that a text file cannot hold", "take it out"),
    (
        "Invalid value",
        "there is no value that can be read",
        'put text and quantities in straight quotes, as in "18 in"',
    ),
    ("Invalid hex value", "a backslash means something else in a text", "write / instead"),
)


def explain(error: tomllib.TOMLDecodeError, text: str, name: str) -> Problem:
    """Say where the file stops being TOML, what is wrong there and what would be right."""
    said = str(error)
    place = _AT.search(said)
    rows = text.replace("\r\n", "\n").split("\n")
    if place and place[1]:
        line, column = int(place[1]), int(place[2])
    else:
        line, column = len(rows), len(rows[-1]) + 1
    where = f"{name} line {line}, column {column}"
    row = rows[line - 1] if line <= len(rows) else ""
    if found := _unquoted(row, column):
        return Problem(where, *found)
    if twice := _TWICE.search(said):
        section = ".".join(re.findall(r"'([^']*)'", twice[1]))
        what = f"{section} is already there, further up"
        return Problem(where, what, "put all its keys together in one place")
    for phrase, what, right in _PLAIN:
        if phrase in said:
            return Problem(where, what, right)
    return Problem(where, "this cannot be read as TOML", 'write key = value, as in width = "24 in"')


def _unquoted(row: str, column: int) -> tuple[str, str] | None:
    """Find a quantity or a word that only lacks its quotes, at the place where reading stopped."""
    before, after = row[: column - 1], row[column - 1 :]
    rest = re.match(r"[A-Za-z%°:/][^,\]}#\"']*", after)
    if not rest or before.count('"') % 2 or before.count("'") % 2:
        return None
    word = rest[0].strip()
    if number := re.search(r"(?:^|[\s=\[,{])([-+]?\d[\d.,_/]*)\s*$", before):
        value = before[number.start(1) :] + word
        return f"{value} is not in quotes", f'write "{value}"'
    if re.search(r"[=\[,]\s*$", before) and "=" in before:
        if word.lower() in ("true", "false", "yes", "no", "on", "off"):
            return f"{word} is not known", "write true or false, in small letters"
        return f"{word} is not in quotes", f'write "{word}"'
    return None
