"""Which way each character of a line runs, and the order in which its parts stand from left to right.

Source: Unicode Standard Annex 9 (The Bidirectional Algorithm), rules by their names there. What is left out: explicit
embeddings, overrides and isolates (X1 to X8), whose controls `text.tidy` drops; the marks U+200E, U+200F and U+061C are
kept. Without them a line is one level run, which makes the rules short.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from itertools import groupby

_BRACKETS = "()[]{}⟨⟩〈〉《》「」『』【】〔〕（）［］｛｝⁅⁆⟦⟧⟪⟫"
"""Pairs of BidiBrackets.txt that occur in text for reading."""

_CLOSING = dict(zip(_BRACKETS[::2], _BRACKETS[1::2], strict=True))
_NEUTRAL = frozenset(("B", "S", "WS", "ON"))
_STRONG = {"L": "L", "R": "R", "AL": "R"}
_AS_R = {"L": "L", "R": "R", "EN": "R", "AN": "R"}
"""For neutrals a number counts as R (N0, N1)."""


def base_level(text: str) -> int:
    """Return 0 for a text that reads from the left, 1 from the right: by its first strong character (P2, P3)."""
    strong = (_STRONG[kind] for kind in map(unicodedata.bidirectional, text) if kind in _STRONG)
    return int(next(strong, "L") == "R")


def levels(text: str, base: int) -> tuple[int, ...]:
    """Return the embedding level of each character: even from left to right, odd from right to left."""
    kinds = [_kind(character) for character in text]
    kept = [k for k, kind in enumerate(kinds) if kind != "BN"]  # X9
    resolved = dict(zip(kept, _resolved(text, [kinds[k] for k in kept], kept, base), strict=True))
    found: list[int] = []
    for k in range(len(text)):
        # What X9 sets aside goes with the character before it.
        found.append(_level(resolved[k], base) if k in resolved else found[-1] if found else base)
    return _trailing_space(text, found, base)


def _kind(character: str) -> str:
    kind = unicodedata.bidirectional(character)
    return "BN" if kind in ("LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI") else kind or "L"


def _resolved(text: str, kinds: list[str], places: list[int], base: int) -> list[str]:
    side = "R" if base else "L"
    originals = list(kinds)
    _weak(kinds, side)
    _paired_brackets([text[k] for k in places], kinds, originals, side)
    return _neutral(kinds, side)


def _weak(kinds: list[str], side: str) -> None:
    """Apply W1 to W7 in place."""
    strong = before = side
    for k, kind in enumerate(kinds):
        now = before if kind == "NSM" else kind  # W1
        strong = now if now in _STRONG else strong
        before = kinds[k] = "AN" if now == "EN" and strong == "AL" else now  # W2
    kinds[:] = ["R" if kind == "AL" else kind for kind in kinds]  # W3
    for k in range(1, len(kinds) - 1):  # W4
        if kinds[k - 1] == kinds[k + 1] and (kinds[k], kinds[k - 1]) in (("ES", "EN"), ("CS", "EN"), ("CS", "AN")):
            kinds[k] = kinds[k - 1]
    _terminators(kinds)
    strong = side
    for k, kind in enumerate(kinds):
        strong = kind if kind in _STRONG else strong
        kinds[k] = "ON" if kind in ("ES", "ET", "CS") else "L" if kind == "EN" and strong == "L" else kind  # W6, W7


def _terminators(kinds: list[str]) -> None:
    """Make a run of terminators beside a European number a part of it (W5)."""
    start = 0
    for kind, run in groupby(list(kinds)):
        end = start + len(list(run))
        if kind == "ET" and "EN" in (*kinds[max(start - 1, 0) : start], *kinds[end : end + 1]):
            kinds[start:end] = ["EN"] * (end - start)
        start = end


def _paired_brackets(letters: Sequence[str], kinds: list[str], originals: Sequence[str], side: str) -> None:
    """Give both brackets of a pair the direction of what they hold, or of what stands before them (N0)."""
    other = "L" if side == "R" else "R"
    for start, end in _pairs(letters, kinds):
        inside = {_AS_R.get(kind) for kind in kinds[start + 1 : end]}
        if side in inside:
            chosen = side
        elif other in inside:
            before = next((_AS_R[kind] for kind in reversed(kinds[:start]) if kind in _AS_R), side)
            chosen = other if before == other else side
        else:
            continue
        for place in (start, end):
            kinds[place] = chosen
            after = place + 1
            while after < len(kinds) and originals[after] == "NSM":
                kinds[after] = chosen
                after += 1


def _pairs(letters: Sequence[str], kinds: Sequence[str]) -> list[tuple[int, int]]:
    """Return where paired brackets stand, in order of the opening one (BD16, with its stack of 63)."""
    stack: list[tuple[str, int]] = []
    found: list[tuple[int, int]] = []
    for k, letter in enumerate(letters):
        if kinds[k] != "ON":
            continue
        if letter in _CLOSING:
            if len(stack) == 63:
                return []
            stack.append((_CLOSING[letter], k))
        depth = next((d for d in range(len(stack) - 1, -1, -1) if stack[d][0] == letter), None)
        if depth is not None:
            found.append((stack[depth][1], k))
            del stack[depth:]
    return sorted(found)


def _neutral(kinds: list[str], side: str) -> list[str]:
    """Return the kinds with neutrals taking the side of both their neighbours, else the base side (N1, N2)."""
    result: list[str] = []
    runs = [(kind, len(list(run))) for kind, run in groupby("N" if kind in _NEUTRAL else kind for kind in kinds)]
    for k, (kind, length) in enumerate(runs):
        around = {_AS_R.get(near, side) for near, _ in (*runs[max(k - 1, 0) : k], *runs[k + 1 : k + 2])}
        if not 0 < k < len(runs) - 1:
            around.add(side)
        result.extend([kind if kind != "N" else around.pop() if len(around) == 1 else side] * length)
    return result


def _level(kind: str, base: int) -> int:
    """Apply I1 and I2."""
    if base % 2:
        return base if kind == "R" else base + 1
    return base + {"L": 0, "R": 1}.get(kind, 2)


def _trailing_space(text: str, found: list[int], base: int) -> tuple[int, ...]:
    """Set spaces at the line's end to the base level (L1)."""
    end = len(text)
    while end and _kind(text[end - 1]) in ("WS", "BN", "S", "B"):
        end -= 1
    return (*found[:end], *([base] * (len(found) - end)))


def visual_order(run_levels: Sequence[int]) -> tuple[int, ...]:
    """Return the indices of runs from left to right (L2): from the highest level down, what lies at it turns round."""
    order = list(range(len(run_levels)))
    odd = [level for level in run_levels if level % 2]
    for level in range(max(run_levels, default=0), min(odd, default=1) - 1, -1):
        start = 0
        for high, part in groupby([run_levels[k] >= level for k in order]):
            end = start + len(list(part))
            if high:
                order[start:end] = order[start:end][::-1]
            start = end
    return tuple(order)
