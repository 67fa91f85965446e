"""What speaks for it that a name in the talk means the work: quotation marks, capitals, its year, "a painting called".

All that is said here of how titles are spoken and typed is common practice.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from ..works import Work
from .common_words import is_common
from .said_words import singular
from .sentences import Talk, Word
from .spoken_names import ARTICLES, LIGHT, SMALL
from .word_list import word_list

_OPEN = re.compile(r"[\"“”„«»‹›「『‘'‚]\s*$")
_CLOSE = re.compile(r"^\s*[.,!?…;:]?[\"“”«»‹›」』’']")
_MOST_USES = 50  # of a word that are looked at
_YEAR_WITHIN = 8  # words between a name and the year that goes with it
_YEAR = re.compile(r"(?<!\d)1[4-9]\d\d(?!\d)|(?<!\d)20\d\d(?!\d)")

_WORKS = word_list("""
    painting picture work piece drawing print etching sculpture canvas photograph watercolour watercolor gouache
    pastel collage tapestry mosaic bronze woodcut linocut lithograph screenprint portrait series installation relief
    gemalde bild zeichnung radierung skulptur werk arbeit tableau dessin gravure oeuvre toile cuadro quadro
    """)
_CALLED = word_list("called titled entitled named christened title titel titled genannt namens intitule titre")
_POINTS = word_list("it one this that which them these those i we he she is was s") | _WORKS
_MADE = word_list("painted drew made etched carved wove woven sculpted finished painting drawing making sold")
_PLACED = word_list("in from near across towards toward around via outside")
_ELSE = word_list("""
    dog cat horse boat ship pub bar cafe house farm street lane village town island river man woman girl boy child son
    daughter friend neighbour nurse band song book film play shop hotel restaurant colour color firm
""")
_HONOURED = word_list("mr mrs ms miss dr prof professor sir saint st herr frau madame monsieur signor senor don")
_ALWAYS = word_list("""
    monday tuesday wednesday thursday friday saturday sunday january february march april may june july august september
    october november december god christmas easter english french german italian spanish dutch european american
    """)


def is_quoted(talk: Talk, first: int, last: int) -> bool:
    """Whether quotation marks stand around exactly these words, or these and an article before them."""
    opens = any(_OPEN.search(talk.words[at].before) for at in (first, with_article(talk, first)))
    return opens and bool(_CLOSE.match(talk.words[last].after))


def with_article(talk: Talk, first: int) -> int:
    """Return the place of the article before a word, with nothing but a space between; else the word's own."""
    word = talk.words[first]
    before = talk.words[first - 1] if first else word
    touches = first > 0 and before.sentence == word.sentence and _touches(word)
    return first - 1 if touches and before.token.folded in ARTICLES else first


def is_capital(talk: Talk, first: int, last: int) -> bool:
    """Whether these words carry capitals where only a name has them."""
    article = talk.words[with_article(talk, first)]
    if talk.cased and article.token.folded in ARTICLES and article.capital and not article.first:
        return True
    said = [word for word in talk.words[first : last + 1] if word.token.folded not in SMALL]
    letters = [word for word in said if word.token.text[:1].isalpha()]
    if not talk.capitals or not letters or not letters[0].capital or all(word.first for word in letters):
        return False
    whole = all(word.capital for word in letters)
    if len(letters) == 1:
        return not (letters[0].first or _is_capital_anyway(talk, first, letters[0]))
    inner = any(word.capital and not word.first for word in letters)
    return (whole and inner) or (not letters[0].first and is_common(letters[0].token.folded))


def opens_as_name(talk: Talk, word: int) -> bool:
    """Whether a word opens a sentence that is a name wherever else it is said."""
    places = talk.uses[talk.words[word].key][:_MOST_USES]
    capital = all(talk.words[at].capital for at in places)
    return capital and talk.words[word].first and any(is_capital(talk, at, at) for at in places)


def goes_on(talk: Talk, last: int) -> bool:
    """Whether the name is only the beginning of a longer one: "Shoal Bay", where Shoal is the title."""
    if not talk.capitals or last + 1 >= len(talk.words):
        return False
    word, then = talk.words[last], talk.words[last + 1]
    return bool(word.capital and then.capital and not then.first and _touches(then) and not _is_pronoun(then))


def is_introduced(talk: Talk, first: int, *, marked: bool) -> bool:
    """Whether the words before say that a work's name follows: "a drawing called", "the painting" before a capital.

    marked says that the name itself is written as one.
    """
    start = with_article(talk, first)
    before = [word.token.folded for word in talk.words[max(0, start - 5) : start] if _same(talk, word, first)]
    if not before:
        return False
    if before[-1] in _CALLED and (before[-1].startswith("tit") or set(before[:-1]) & _POINTS or len(before) == 1):
        return True
    if before[-2:] == ["known", "as"] or before[-2:] in (["title", "is"], ["title", "was"]):
        return True
    return marked and before[-1] in _WORKS


def names_another(talk: Talk, first: int) -> bool:
    """Whether the words before say that something else than a work is called so: "my dog is called Blue"."""
    start = with_article(talk, first)
    before = [singular(w.token.folded) for w in talk.words[max(0, start - 4) : start] if _same(talk, w, first)]
    return bool(before) and before[-1] in _CALLED and bool(set(before) & _ELSE) and not set(before[:-1]) & _WORKS


def is_explained(talk: Talk, last: int) -> bool:
    """Whether the words after say that a work was named: "Night, the etching"."""
    then = talk.words[last + 1 : last + 4]
    same = [word.token.folded for word in then if _same(talk, word, last)]
    return len(same) > 1 and same[0] in LIGHT and same[1] in _WORKS and talk.words[last].after.strip() == ","


def is_made(talk: Talk, first: int) -> bool:
    """Whether a word of making stands right before the name and its article: "I painted the lemons"."""
    start = with_article(talk, first)
    return start > 0 and _same(talk, talk.words[start - 1], first) and talk.words[start - 1].token.folded in _MADE


def years_near(talk: Talk, first: int, last: int) -> frozenset[str]:
    """Return the numbers said in the same sentence within a few words of the name."""
    around = (*talk.words[max(0, first - _YEAR_WITHIN) : first], *talk.words[last + 1 : last + 1 + _YEAR_WITHIN])
    return frozenset(word.key for word in around if word.key.isdigit() and _same(talk, word, first))


def has_year(work: Work, numbers: frozenset[str]) -> bool:
    """Whether one of the numbers is the work's year, in full or without its century ("in '87")."""
    years = set(_YEAR.findall(work.year))
    return bool(numbers & (years | {str(int(year) % 100) for year in years if int(year) % 100 > 12}))


def is_dated(talk: Talk, last: int, work: Work) -> bool:
    """Whether the work's year stands right after the name: "Night, 1969", "Night from 1969", "Night (1969)"."""
    then = [word for word in talk.words[last + 1 : last + 3] if _same(talk, word, last)]
    if then and then[0].token.folded in {"from", "of"}:
        then = then[1:]
    return bool(then) and has_year(work, frozenset({then[0].key}))


def counts_on(talk: Talk, last: int) -> bool:
    """Whether a number that ends a name counts what follows instead: "Blue Kitchen two years later"."""
    if last + 1 >= len(talk.words) or not talk.words[last].token.folded[-1:].isalpha():
        return False
    word, then = talk.words[last], talk.words[last + 1]
    plural = then.key != then.token.folded and then.token.folded.endswith("s") and len(then.token.folded) > 3
    return word.key.isdigit() and plural and _same(talk, then, last) and _touches(then)


def follows_number(talk: Talk, last: int) -> bool:
    """Whether a number stands right after the name that would make it another: "Blue Kitchen two is larger"."""
    if last + 1 >= len(talk.words) or not _same(talk, talk.words[last + 1], last):
        return False
    number = talk.words[last + 1]
    if not (number.key.isdigit() and _touches(number)) or len(number.key) > 3:
        return False
    then = talk.words[last + 2 : last + 3]
    return bool(number.after.strip()) or not then or then[0].token.folded in {"is", "was", "has", "and", "came", "went"}


def is_broken(talk: Talk, first: int, last: int, title: str) -> bool:
    """Whether marks stand between these words where the title has none: "it was blue, kitchen things"."""
    marks = any(word.after.strip("\n -‐‑'’\"") for word in talk.words[first:last])
    return marks and not re.search(r"[^\w\s'’-]", title.rstrip("?!.…"))


def _is_capital_anyway(talk: Talk, first: int, word: Word) -> bool:
    """Whether a single word has a capital for other reasons: a day, a place after "in", a part of a person's name."""
    folded = word.token.folded
    if folded in _ALWAYS or word.token.text == "I":
        return True
    before = talk.words[first - 1] if first else word
    if before.token.folded in _HONOURED and before.sentence == word.sentence:
        return True
    if is_common(folded):
        return bool(first and before.capital and not before.first and _touches(word) and not _is_pronoun(before))
    return before.token.folded in _PLACED or bool(
        before.capital
        and not before.first
        and _touches(word)
        and not _is_pronoun(before)
        and "’" not in before.token.text
        and "'" not in before.token.text
    )


def _is_pronoun(word: Word) -> bool:
    return re.match(r"I(?:['’]|$)", word.token.text) is not None


def _touches(word: Word) -> bool:
    return not word.before.strip()


def _same(talk: Talk, word: Word, at: int) -> bool:
    return word.sentence == talk.words[at].sentence


def words_common(words: Sequence[str]) -> bool:
    """Whether all folded words are of everyday talk."""
    return all(is_common(part) for word in words for part in word.split())
