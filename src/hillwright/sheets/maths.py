"""One-line equations of the methods, from plain signs to what typst sets as mathematics."""

from __future__ import annotations

import re

_TOKEN = re.compile(
    r"(?P<number>\d+(?:\.\d+)?(?:[eE][-+]?\d+)?)"
    # words with a hyphen are one: "person-hours" is no difference
    r"|(?P<name>[A-Za-z]{2,}(?:-[A-Za-z]{2,})+|[A-Za-z][A-Za-z0-9]*(?:_[A-Za-z0-9]+)*)"
    r"|(?P<relation><=|>=|!=|<|>|=)"
    r"|(?P<open>[(\[{])|(?P<close>[)\]}])"
    r"|(?P<sign>[-+*/^,])"
    r"|(?P<space>\s+)"
    r"|(?P<other>.)"
)
MOST_WORDS = 60  # letters in words, beyond which a line is a sentence
_FUNCTIONS = {"sin", "cos", "tan", "sinh", "cosh", "tanh", "exp", "ln", "log", "min", "max", "sec"}
_TURNED = {"asin": "arcsin", "acos": "arccos", "atan": "arctan", "arctan": "arctan"}
_ONE_ARGUMENT = {"sqrt": "sqrt", "abs": "abs"}
_CALL = "\x00"  # marks a function of the typesetting: its bracket follows without a space
_GREEK = {
    "alpha", "beta", "gamma", "delta", "epsilon", "eta", "theta", "kappa", "lambda", "mu", "nu",
    "pi", "rho", "sigma", "tau", "phi", "psi", "omega", "Delta", "Sigma",
}  # fmt: skip
_RELATIONS = {"<=": "<=", ">=": ">=", "!=": "!=", "<": "<", ">": ">", "=": "="}


def lines(equation: str) -> list[str]:
    """Give an equation as typst mathematics, a line for each part that a semicolon ends.

    Names of one letter are symbols, ``K_a`` and ``k1`` carry what follows as an index, and so do
    ``z_(i + 1)`` and ``c[k + 1]``; names of functions and Greek letters are set as such, and words
    are words. What cannot be read as mathematics (brackets that do not pair) comes back as quoted
    words, never as an error.
    """
    return [typeset(part) for part in parts(equation)]


def worded(maths: str) -> bool:
    """Say whether a line is a sentence rather than an equation: set as text, it can be broken."""
    return sum(len(words) for words in re.findall(r'"([^"]*)"', maths)) > MOST_WORDS


def parts(equation: str) -> list[str]:
    """Cut an equation at semicolons that stand outside brackets."""
    found, depth, start = [], 0, 0
    for k, sign in enumerate(equation):
        depth += (sign in "([{") - (sign in ")]}")
        if sign == ";" and depth == 0:
            found.append(equation[start:k])
            start = k + 1
    return [part.strip() for part in (*found, equation[start:]) if part.strip()]


def typeset(part: str) -> str:
    """Give one part as typst mathematics."""
    tokens = [(m.lastgroup or "", m.group()) for m in _TOKEN.finditer(part)]
    if not _paired(tokens):
        return quoted(part)
    tokens = _phrases(_indices(tokens))
    said: list[str] = []
    for k, (kind, text) in enumerate(tokens):
        after = tokens[k + 1] if k + 1 < len(tokens) else ("", "")
        said.append(_one(tokens, k, kind, text, after))
    return " ".join(s for s in said if s).replace(f"{_CALL} ", "")


def quoted(text: str) -> str:
    """Give text as a string of typst, whatever signs it holds."""
    plain = re.sub(r"[\x00-\x1f\x7f]", " ", text).replace("\\", "\\\\").replace('"', '\\"')
    return f'"{plain}"'


def _one(
    tokens: list[tuple[str, str]], k: int, kind: str, text: str, after: tuple[str, str]
) -> str:
    match kind:
        case "space":
            return ""
        case "number":
            return _number(text)
        case "relation":
            return _RELATIONS[text]
        case "open":
            return "("
        case "close":
            return ")"
        case "phrase":
            return quoted(text)
        case "index":
            return "_"
        case "sign":
            return _sign(tokens, k, text)
        case "name":
            return _name(tokens, k, text, after)
        case _:
            return quoted(text)


def _number(text: str) -> str:
    plain, _, power = text.lower().partition("e")
    return f"{plain} dot.op 10^({int(power)})" if power else plain


def _sign(tokens: list[tuple[str, str]], k: int, text: str) -> str:
    filled = [t for t in tokens if t[0] != "space"]
    at = len([t for t in tokens[:k] if t[0] != "space"])
    last, first = at == len(filled) - 1, at == 0
    # a sign with nothing to work on is a word: typst would miss what it works on
    if text in "/^" and (last or first or filled[at - 1][0] in ("open", "sign", "relation")):
        return quoted(text)
    if text == "^":
        following = filled[at + 1]
        return '^ ""' if following[1] in "+-" else ("^" if _holds(following) else quoted(text))
    if text == "/":
        return "/" if _holds(filled[at + 1]) else quoted(text)
    return {"*": "dot.op", ",": '","'}.get(text, text)


def _holds(token: tuple[str, str]) -> bool:
    return token[0] in ("number", "name", "open", "phrase", "other")


def _name(tokens: list[tuple[str, str]], k: int, text: str, after: tuple[str, str]) -> str:
    called = after == ("open", "(")
    if text in _FUNCTIONS:
        return text
    if text in _TURNED:
        return _TURNED[text]
    if text in _ONE_ARGUMENT and called and not _commas(tokens, k + 1):
        return text + _CALL
    if text == "sum" and called:
        return "sum"
    base, *index = text.split("_")
    if not index and (m := re.fullmatch(r"([A-Za-z])(\d+)", base)):
        base, index = m[1], [m[2]]
    symbol = base if len(base) == 1 or base in _GREEK else quoted(base)
    # a space keeps a symbol from being called like a function of the typesetting
    symbol += " " if called else ""
    return f"{symbol}_({quoted(' '.join(index))})" if index else symbol


def _commas(tokens: list[tuple[str, str]], k: int) -> bool:
    depth = 0
    for kind, text in tokens[k:]:
        depth += (kind == "open") - (kind == "close")
        if depth == 0:
            return False
        if depth == 1 and text in (",", ";"):
            return True
    return False


def _paired(tokens: list[tuple[str, str]]) -> bool:
    pairs, stack = {")": "(", "]": "[", "}": "{"}, []
    for kind, text in tokens:
        if kind == "open":
            stack.append(text)
        elif kind == "close" and (not stack or stack.pop() != pairs[text]):
            return False
    return not stack


def _indices(tokens: list[tuple[str, str]]) -> list[tuple[str, str]]:
    """Mark where a bracket behind a symbol is its index: ``z_(i)`` and ``c[k]``."""
    found: list[tuple[str, str]] = []
    for k, (kind, text) in enumerate(tokens):
        symbol = bool(found) and found[-1][0] == "name"
        after = tokens[k + 1] if k + 1 < len(tokens) else ("", "")
        if symbol and text == "_" and after == ("open", "("):
            found.append(("index", text))
        elif symbol and text == "[":
            found += [("index", "_"), (kind, text)]
        else:
            found.append((kind, text))
    return found


def _phrases(tokens: list[tuple[str, str]]) -> list[tuple[str, str]]:
    """Join words that follow each other: "pairs of neighbours" is one thing, "g z" is two."""
    found: list[tuple[str, str]] = []
    k = 0
    while k < len(tokens):
        end = k
        words = 0
        last = k
        while end < len(tokens) and (
            tokens[end][0] == "name" or (tokens[end][0] == "space" and end > k)
        ):
            if tokens[end][0] == "name":
                words += 1
                last = end
            end += 1
        run = [t for kind, t in tokens[k : last + 1] if kind == "name"]
        if words > 1 and any(_worded(t) for t in run):
            found.append(("phrase", "".join(t for _, t in tokens[k : last + 1])))
            k = last + 1
        else:
            found.append(tokens[k])
            k += 1
    return found


def _worded(text: str) -> bool:
    """Say whether a name is a word rather than a symbol."""
    if "-" in text:
        return True
    plain = text.lower() == text and text.isalpha() and len(text) > 2
    return plain and text not in _FUNCTIONS | _GREEK | _TURNED.keys() | _ONE_ARGUMENT.keys()
