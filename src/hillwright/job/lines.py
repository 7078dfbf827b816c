"""Where each key of a TOML file stands, and its value as written; for messages only.

The standard library's reader forgets lines, so this is opened only once something is wrong.
"""

from __future__ import annotations

import re
import tomllib
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from tree_sitter import Node

Keys = tuple[str | int, ...]  # as in ("exclusion", 0, "radius"); list items count from 0

_LONGEST = 48


class Standing(NamedTuple):
    """Where a key stands: its line, and the text of its value ("" for a table's head)."""

    line: int
    text: str


class Lines:
    """The lines of a TOML text that the standard library has already accepted."""

    def __init__(self, text: str) -> None:
        import tree_sitter_toml
        from tree_sitter import Language, Parser

        self._at: dict[Keys, Standing] = {}
        self._count: dict[Keys, int] = {}  # tables so far in each array of tables
        parser = Parser(Language(tree_sitter_toml.language()))
        for node in parser.parse(text.encode()).root_node.named_children:
            self._statement(node)

    def find(self, keys: Keys) -> Standing | None:
        """Give where exactly this key stands, or None where the file does not hold it."""
        return self._at.get(keys)

    def line(self, keys: Keys) -> int | None:
        """Give the line of a key, or of the nearest thing around it that the file holds."""
        for end in range(len(keys), 0, -1):
            if found := self._at.get(keys[:end]):
                return found.line
        return None

    def _statement(self, node: Node) -> None:
        if node.type == "pair":
            self._pair(node, ())
        elif node.type in ("table", "table_array_element"):
            inside = self._head(node)
            for pair in node.named_children[1:]:
                if pair.type == "pair":
                    self._pair(pair, inside)

    def _head(self, node: Node) -> Keys:
        """Note a table's head; an array of tables on the way means its newest table."""
        keys: Keys = ()
        parts = _parts(node.named_children[0])
        for i, part in enumerate(parts):
            keys = (*keys, part)
            self._note(keys, node, "")
            if node.type == "table_array_element" and i == len(parts) - 1:
                self._count[keys] = self._count.get(keys, 0) + 1
            if keys in self._count:
                keys = (*keys, self._count[keys] - 1)
                self._note(keys, node, "")
        return keys

    def _pair(self, node: Node, inside: Keys) -> None:
        key, value = (n for n in node.named_children if n.type != "comment")
        parts = _parts(key)
        for end in range(1, len(parts)):
            self._note((*inside, *parts[:end]), key, "")
        self._value(value, (*inside, *parts), key)

    def _value(self, node: Node, keys: Keys, at: Node) -> None:
        self._note(keys, at, _written(node))
        if node.type == "array":
            items = (n for n in node.named_children if n.type != "comment")
            for i, item in enumerate(items):
                self._value(item, (*keys, i), item)
        elif node.type == "inline_table":
            for pair in node.named_children:
                if pair.type == "pair":
                    self._pair(pair, keys)

    def _note(self, keys: Keys, at: Node, text: str) -> None:
        self._at.setdefault(keys, Standing(at.start_point[0] + 1, text))


def _parts(key: Node) -> tuple[str, ...]:
    """Give the parts of a key, quotes and escapes undone, as in a."b c" -> ("a", "b c")."""
    if key.type == "dotted_key":
        return tuple(part for child in key.named_children for part in _parts(child))
    text = (key.text or b"").decode()
    return (text,) if key.type == "bare_key" else tuple(tomllib.loads(f"{text} = 0"))


def _written(node: Node) -> str:
    text = re.sub(r"\s+", " ", (node.text or b"").decode())
    return text if len(text) <= _LONGEST else text[: _LONGEST - 1] + "…"
