"""A transcript as one run of words: its sentences, what is asked in it, and what its capitals tell.

Words run on from one cue to the next, so that a title may stand over the break; a sentence ends at a full stop, at
another speaker, and at a silence.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from .common_words import is_english, is_german
from .said_words import Token, tokens
from .spoken import Spoken, Transcript
from .word_list import word_list

_SILENCE = 3  # seconds without talk that end a sentence
_STOP = re.compile(r"[.?!…。？！؟]")
_ASKS = re.compile(r"[?？؟]")
_ABBREVIATIONS = word_list("mr mrs ms dr prof st vs c ca cf fig op cat vol nr")
_OPENING = "\"“„«»‹›「『‘'‚"
_STARTS_ANEW = re.compile(rf"[{_OPENING}:]|[-–—]\s")
_ENOUGH = 60  # words in mid-sentence from which their capitals can be counted
_NOUNS = 0.2  # share of capitals in mid-sentence above which a language, or a style, writes common words with them
_LOUD = 0.6  # share of words in capitals throughout, above which capitals tell nothing
_AROUND = 25  # words before and after a name that show how it is meant
_INTERJECTION = 2  # words of an interviewer that are no question yet: "I see."


@dataclass(frozen=True, slots=True)
class Word:
    """A word of the talk.

    line is the place in Transcript.lines, token its characters there; sentence counts from 0; before and after are the
    characters up to the neighbouring words, with a line break where another cue comes between; first says that it opens
    a sentence or what is quoted, so that its capital tells nothing.
    """

    token: Token
    line: int
    sentence: int
    before: str
    after: str
    first: bool

    @property
    def key(self) -> str:
        """The word as it is compared."""
        return self.token.key

    @property
    def capital(self) -> bool:
        """Whether its first letter is a capital."""
        return self.token.text[:1].isupper()


@dataclass(frozen=True, slots=True)
class Sentence:
    """Words first to last (inclusive) of the talk, and whether they are asked: by their mark, or by who says them."""

    first: int
    last: int
    asked: bool


@dataclass(frozen=True, slots=True)
class Talk:
    """The words and sentences of a transcript.

    cased says whether small words are written small and sentences begin with a capital; capitals, whether a capital in
    mid-sentence then tells a name, as it does not in German; english, whether English is spoken, as far as its small
    words tell; uses are the places of each word by its key.
    """

    lines: tuple[Spoken, ...]
    words: tuple[Word, ...]
    sentences: tuple[Sentence, ...]
    cased: bool
    capitals: bool
    english: bool
    uses: Mapping[str, tuple[int, ...]]

    def start(self, word: int) -> Fraction:
        """Return the second at which a word begins."""
        said = self.words[word]
        return self.lines[said.line].time_at(said.token.start)

    def end(self, word: int) -> Fraction:
        """Return the second at which a word ends, with the marks that follow it in its line."""
        said = self.words[word]
        marks = len(said.after.partition("\n")[0].rstrip())
        return self.lines[said.line].time_at(said.token.end + marks)

    def text(self, first: int, last: int) -> str:
        """Return what is said from one word to another (inclusive), with the marks between them."""
        said = self.words[first : last + 1]
        between = (word.token.text + word.after.replace("\n", " ") for word in said[:-1])
        return " ".join(("".join(between) + said[-1].token.text).split())

    def sentence_around(self, first: int, last: int) -> str:
        """Return the sentence in which words stand, cut where it is long, with the marks at its end."""
        held = self.sentences[self.words[first].sentence]
        start, end = max(held.first, first - _AROUND), min(held.last, last + _AROUND)
        after = self.words[end].after.partition("\n")[0]
        marks = re.match(r"[^\w\s(\[“„«]{0,9}", after) if end == held.last else None
        return "… " * (start > held.first) + self.text(start, end) + (marks.group() if marks else " …")


def talk_of(transcript: Transcript) -> Talk:
    """Return the words of a transcript."""
    lines = transcript.lines
    words = tuple(_words(lines))
    asking = interviewer(transcript)
    sentences = tuple(_sentences(words, lines, asking))
    folded = [word.token.folded for word in words]
    cased = _is_cased(words)
    capitals = cased and not is_german(folded) and _names_only(words)
    return Talk(lines, words, sentences, cased, capitals, is_english(folded), _uses(words))


def _uses(words: Sequence[Word]) -> dict[str, tuple[int, ...]]:
    held: dict[str, list[int]] = defaultdict(list)
    for at, word in enumerate(words):
        held[word.key].append(at)
    return {key: tuple(places) for key, places in held.items()}


def interviewer(transcript: Transcript) -> str:
    """Return the named speaker who asks most, "" where nobody clearly does: most questions, and oftenest for a turn."""
    asked: Counter[str] = Counter()
    said: Counter[str] = Counter()
    for line in transcript.lines:
        asked[line.speaker] += len(_ASKS.findall(line.text))
        said[line.speaker] += len(_STOP.findall(line.text)) or 1
    named = sorted((name for name in said if name), key=lambda name: (-asked[name], name))
    if len(named) < 2 or asked[named[0]] <= asked[named[1]]:
        return ""
    share = [asked[name] / said[name] for name in named]
    return named[0] if share[0] > max(share[1:]) and share[0] >= 1 / 4 else ""


def _words(lines: Sequence[Spoken]) -> Iterator[Word]:
    placed = [(place, token) for place, line in enumerate(lines) for token in tokens(line.text)]
    gaps = list(_gaps(placed, lines))
    sentence = 0
    for at, (place, token) in enumerate(placed):
        opens = at == 0 or _ends_sentence(gaps[at], placed[at - 1], placed[at], lines)
        sentence += opens and at > 0
        first = opens or bool(_STARTS_ANEW.search(gaps[at]))
        yield Word(token, place, sentence, gaps[at], gaps[at + 1], first)


def _gaps(placed: Sequence[tuple[int, Token]], lines: Sequence[Spoken]) -> Iterator[str]:
    """Yield the characters before each word, and at last those after all."""
    place, end = -1, 0
    for line, token in placed:
        if line == place:
            yield lines[line].text[end : token.start]
        else:
            yield (lines[place].text[end:] + "\n" if place >= 0 else "") + lines[line].text[: token.start]
        place, end = line, token.end
    yield lines[place].text[end:] if placed else ""


def _ends_sentence(gap: str, before: tuple[int, Token], after: tuple[int, Token], lines: Sequence[Spoken]) -> bool:
    (line, token), (next_line, next_token) = before, after
    if line != next_line and _is_break(lines[line], lines[next_line]):
        return True
    return bool(_STOP.search(gap)) and not _is_dot_within(gap, token, next_token)


def _is_break(line: Spoken, then: Spoken) -> bool:
    return then.turn or then.speaker != line.speaker or then.start - line.end > _SILENCE


def _is_dot_within(gap: str, token: Token, then: Token) -> bool:
    """Whether the stops of a gap end no sentence: of an abbreviation, an initial, a number, a hesitation."""
    marks = gap.strip()
    if marks == ".":
        initial = len(token.text) == 1 and token.text.isupper() and token.text != "I" and then.text[:1].isupper()
        numbered = token.folded == "no" and then.key.isdigit()
        return not gap[-1:].isspace() or initial or numbered or token.folded in _ABBREVIATIONS
    return marks in {"...", "…"} and then.text[:1].islower()


def _sentences(words: Sequence[Word], lines: Sequence[Spoken], asking: str) -> Iterator[Sentence]:
    first = 0
    for at, word in enumerate(words):
        if at + 1 < len(words) and words[at + 1].sentence == word.sentence:
            continue
        marked = bool(_ASKS.search(word.after.partition("\n")[0]))
        by_interviewer = bool(asking) and lines[word.line].speaker == asking and at - first >= _INTERJECTION
        yield Sentence(first, at, marked or by_interviewer)
        first = at + 1


def _is_cased(words: Sequence[Word]) -> bool:
    letters = [word for word in words if word.token.text[:1].isalpha()]
    loud = sum(word.token.text.isupper() for word in letters if len(word.token.text) > 1)
    opening = [word.capital for word in letters if word.first]
    return loud <= _LOUD * len(letters) and 2 * sum(opening) >= len(opening)


def _names_only(words: Sequence[Word]) -> bool:
    """Whether few enough words in mid-sentence have a capital, as far as there are enough to count."""
    within = [word.capital for word in words if not word.first and word.token.text[:1].isalpha()]
    return len(within) < _ENOUGH or sum(within) <= _NOUNS * len(within)
