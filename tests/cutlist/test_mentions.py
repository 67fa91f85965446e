from __future__ import annotations

import itertools
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kenburns.cutlist.talk.mentions import Mention, Mentions, mentions
from kenburns.cutlist.talk.spoken import Spoken, Transcript
from kenburns.cutlist.talk.transcript import read_transcript
from kenburns.cutlist.works import Work, read_works

SHARED = Path(__file__).resolve().parents[2] / "shared"

# The invented film's own works, and invented titles of the awkward kinds.
WORKS = (
    *read_works(SHARED / "works.csv").works,
    Work("20", "Night", year="1969"),
    Work("21", "Untitled", year="1980"),
    Work("22", "Untitled", year="1984"),
    Work("23", "Blue", year="1994"),
    Work("24", "Blue Kitchen", year="1995"),
    Work("25", "Blue Kitchen II", year="1996"),
    Work("26", "Self-Portrait with Oar", year="1971"),
    Work("27", "Łódka", year="1966"),
    Work("28", "Die Brücke im Nebel", year="1983"),
    Work("29", "Composition No. 7", year="1961"),
    Work("30", "October", year="2001"),
    Work("31", "夜の海", year="1990"),
    Work("32", "Thessaly", year="1999"),
    Work("33", "Where the Road Was Before", year="1988"),
    Work("34", "The Harbour", year="1977"),
    Work("35", "L’Atelier rouge", year="1964"),
)


def said(*cues: str | tuple[str, str]) -> Transcript:
    """Return a transcript of cues of ten seconds each, as text or as (speaker, text)."""
    lines = []
    for place, cue in enumerate(cues):
        speaker, text = cue if isinstance(cue, tuple) else ("", cue)
        lines.append(Spoken(Fraction(10 * place), Fraction(10 * place + 10), speaker, text, place + 1))
    return Transcript(tuple(lines))


def found(*cues: str | tuple[str, str], works: tuple[Work, ...] = WORKS) -> Mentions:
    return mentions(said(*cues), works)


def numbers(listed: tuple[Mention, ...]) -> list[str]:
    return [mention.work.number for mention in listed]


# Hard sentences, each with the works that are surely meant and those that are only listed; written by hand.
HARD = {
    # lenient: case, diacritics, articles, punctuation, hyphens, plurals, slips
    "I made kestrel kitchen in a single week.": ("2", ""),
    "I MADE KESTREL KITCHEN IN A SINGLE WEEK.": ("2", ""),
    "Then came The Kestrel Kitchen, and then nothing.": ("2", ""),
    "She hung Kestrel Kitchens in the wrong room.": ("2", ""),
    "They have Kestral Kitchen at the gallery now.": ("2", ""),
    "That was High Water Hesterholm, the big one.": ("1", ""),
    "That was High Water, Hester home.": ("1", ""),
    "I never sold Self Portrait with Oar to anyone.": ("26", ""),
    "I never sold Selfportrait with Oar to anyone.": ("26", ""),
    "We borrowed Lodka for the show.": ("27", ""),
    "He still owns What the Sea Lends.": ("8", ""),
    "He still owns what the sea lends.": ("8", ""),
    "There is the Floor for the Ferry Hall, of course.": ("5", ""),
    "And Kestrel Kitchen's light is not invented.": ("2", ""),
    "That is Reading the tide tables, in pencil.": ("3", ""),
    "That is Where the Road Was Before.": ("33", ""),
    # numbers in words and digits
    "They printed 9 Signals in Brantmouth.": ("6", ""),
    "They printed Nine Signals in Brantmouth.": ("6", ""),
    "After that I did Composition Number Seven.": ("29", ""),
    "After that I did Composition No. 7, badly.": ("29", ""),
    "This is Ebb, 2nd State.": ("11", ""),
    "Blue Kitchen two is larger.": ("25", ""),
    "In Blue Kitchen III is the same chair.": ("", "24"),
    "I repainted it as Blue Kitchen II.": ("25", ""),
    # the longest wins
    "Then I did Blue Kitchen.": ("24", ""),
    "Then I did Blue.": ("23", ""),
    # everyday words
    "I could not sleep that night.": ("", "20"),
    "The sea was blue, the sky was not.": ("", "23"),
    "I finished “Night” in a shed.": ("20", ""),
    "I finished Night in a shed.": ("20", ""),
    "There is a painting called night.": ("20", ""),
    "It was night, 1969, and very cold.": ("20", ""),
    "Night fell early there.": ("", "20"),
    "It is untitled.": ("", "21 22"),
    "That is Untitled from 1984.": ("22", ""),
    "That is Untitled.": ("", "21 22"),
    "We met again in October.": ("", "30"),
    "I lived in Thessaly for years.": ("", "32"),
    "I still like Thessaly best.": ("32", ""),
    "At high water we walked home.": ("", "1"),
    "The old slip was for boats.": ("", "9"),
    "I drew the harbour for ten years.": ("", "34"),
    "You know the blue one in the kitchen.": ("", "24"),
    "A white hull on black water.": ("", "12"),
    "People look up at the tall one.": ("1", ""),
    "My dog is called Blue.": ("", "23"),
    "He met Mr. Blue at the door.": ("", "23"),
    "They sailed past Shoal Bay.": ("", "7"),
    "That night, in 1969, I left.": ("", "20"),
    "Blue Kitchen two years later was gone.": ("24", ""),
    "He owned a Blue Kitten.": ("", "24"),
    "The tide was in, and nobody spoke.": ("", ""),
    "It is a black kitten.": ("", ""),
    "There was a light in the window.": ("", ""),
    "My father had a barn.": ("", ""),
    # other languages' letters
    "Ich habe Die Bruecke im Nebel nie verkauft.": ("28", ""),
    "J’ai peint « L’atelier rouge » à vingt ans.": ("35", ""),
    "私は「夜の海」を描いた。": ("31", ""),
}


@pytest.mark.parametrize(("sentence", "expected"), HARD.items())
def test_a_hard_sentence_is_judged_as_a_person_would(sentence: str, expected: tuple[str, str]) -> None:
    listed = found(sentence)
    assert (numbers(listed.sure), numbers(listed.unsure)) == tuple(numbers_.split() for numbers_ in expected)


def test_there_are_forty_hard_sentences_at_least() -> None:
    assert len(HARD) >= 40


def test_in_the_films_captions_every_name_is_found_and_none_is_false() -> None:
    # By hand, with the works list beside the captions: two phrases that it lists are spoken as it lists them; the
    # others are everyday words there (tables one reads, a postcard, a net, bronze), or a title's words turned round.
    film = read_works(SHARED / "works.csv").works
    listed = mentions(read_transcript(SHARED / "captions.vtt"), film)
    assert [(m.work.title, m.said, m.line) for m in listed.sure] == [
        ("High Water, Hesterholm", "the tall one", 7),
        ("Kestrel Kitchen", "the lemons", 20),
    ]
    assert [(m.work.number, m.said, m.line) for m in listed.unsure] == [
        ("9", "a postcard", 23),
        ("9", "a postcard", 23),
        ("3", "tide tables", 29),
        ("4", "net", 41),
        ("12", "white hull on black water", 50),
        ("7", "bronze", 59),
    ]


def test_every_title_of_the_film_is_found_when_it_is_said() -> None:
    film = read_works(SHARED / "works.csv").works
    for work in film:
        listed = mentions(said(f"Then I finished {work.title} at last."), film)
        assert [(m.work, m.name) for m in listed.sure] == [(work, work.title)], work.title
        assert listed.unsure == ()


def test_the_moment_is_interpolated_by_characters() -> None:
    # 40 characters in 10 s; the title begins at the 20th: 5 s after the cue's start
    text = "When I was ready for Kestrel Kitchen......"
    assert len(text) == 42
    assert text.index("Kestrel") == 21
    mention = found("x", text).sure[0]
    assert mention.at == 10 + Fraction(21, 42) * 10
    assert mention.until == 10 + Fraction(42, 42) * 10


def test_an_article_of_the_list_belongs_to_the_moment() -> None:
    mention = found("See The Old Slip here.").sure[0]
    assert mention.said == "The Old Slip"
    assert mention.at == Fraction(4, 22) * 10


def test_a_title_may_stand_over_the_break_of_two_cues() -> None:
    (mention,) = found("Well, I painted Kestrel", "Kitchen that year.").sure
    assert mention.said == "Kestrel Kitchen"
    assert mention.line == 1
    assert mention.at == Fraction(16, 23) * 10


def test_a_title_does_not_stand_over_two_sentences_speakers_or_a_silence() -> None:
    assert found("It was a Kestrel. Kitchen smells.") == Mentions((), ())
    assert found(("A", "It was a Kestrel"), ("B", "Kitchen smells.")) == Mentions((), ())
    apart = Transcript(
        (
            Spoken(Fraction(0), Fraction(2), "", "It was a Kestrel", 1),
            Spoken(Fraction(9), Fraction(11), "", "Kitchen smells.", 2),
        )
    )
    assert mentions(apart, WORKS) == Mentions((), ())


def test_a_mention_in_a_question_is_a_mention_and_says_so() -> None:
    asked, told = found("Is this Kestrel Kitchen?", "Yes, Kestrel Kitchen.").sure
    assert (asked.asked, told.asked) == (True, False)


def test_whoever_asks_most_is_heard_as_asking_also_without_a_question_mark() -> None:
    listed = found(
        ("Jo", "When did you start?"),
        ("Oda", "Early."),
        ("Jo", "And why here?"),
        ("Oda", "Who knows. The light."),
        ("Jo", "Tell me about Kestrel Kitchen."),
        ("Oda", "Kestrel Kitchen took a week."),
    )
    assert [m.asked for m in listed.sure] == [True, False]


def test_of_two_works_of_one_name_only_the_year_decides() -> None:
    assert numbers(found("That is Untitled, 1980.").sure) == ["21"]
    assert {m.why for m in found("That is “Untitled”.").unsure} == {"2 works are called so"}


def test_a_title_that_names_a_speaker_is_not_sure_by_its_capital() -> None:
    works = (Work("1", "Ottilie"),)
    assert numbers(found(("Jo", "I met Ottilie in Leeds."), ("Ottilie", "So you did."), works=works).sure) == []
    assert numbers(found(("Jo", "I met Ottilie in Leeds."), works=works).sure) == ["1"]


def test_a_word_that_opens_a_sentence_is_a_name_where_it_is_one_elsewhere() -> None:
    assert numbers(found("Thessaly is what I like.").sure) == []
    assert numbers(found("Thessaly is what I like.", "I lived in Thessaly.").sure) == []
    assert numbers(found("Thessaly is what I like.", "I still own Thessaly.").sure) == ["32", "32"]


def test_every_mention_says_why() -> None:
    for sentence in HARD:
        listed = found(sentence)
        assert all(m.why and m.said and m.sentence for m in (*listed.sure, *listed.unsure))


def test_no_mention_is_both_and_none_overlap() -> None:
    listed = found(*HARD)
    spans = sorted({(m.at, m.until) for m in (*listed.sure, *listed.unsure)})
    assert all(first[1] <= then[0] for first, then in itertools.pairwise(spans))
    assert not set(listed.sure) & set(listed.unsure)


def test_a_work_without_a_name_is_found_nowhere() -> None:
    assert found("Number 7.", works=(Work("7", ""),)) == Mentions((), ())


SAID = (
    "Kestrel Kitchen kitchen night Night Blue blue two II 1969 nineteen the The , . ? “ ” ' - called painting Shoal x"
)


@settings(max_examples=60)
@given(st.lists(st.lists(st.sampled_from(SAID.split(" ")), max_size=12).map(" ".join), min_size=1, max_size=5))
def test_any_talk_gives_mentions_inside_its_time_in_order(cues: list[str]) -> None:
    listed = found(*cues)
    for mentioned in (listed.sure, listed.unsure):
        assert list(mentioned) == sorted(mentioned, key=lambda m: m.at)
        assert all(0 <= m.at <= m.until <= 10 * len(cues) for m in mentioned)


@settings(max_examples=40)
@given(st.text(max_size=80), st.text(max_size=30))
def test_any_text_and_title_can_be_looked_at(text: str, title: str) -> None:
    listed = found(text, works=(Work("1", title, (title, "x")),))
    assert all(m.work.number == "1" for m in (*listed.sure, *listed.unsure))
