"""WebVTT is checked against the W3C's text (section names from memory) and webvtt-py, SubRip against srt and pysrt."""

from __future__ import annotations

import codecs
import io
import unicodedata
from collections.abc import Callable
from datetime import timedelta
from fractions import Fraction
from pathlib import Path

import pysrt
import pytest
import srt
import webvtt
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kenburns.cutlist.talk.spoken import Spoken, Transcript
from kenburns.cutlist.talk.transcript import read_transcript
from kenburns.errors import ListError

SHARED = Path(__file__).resolve().parents[2] / "shared"
Read = Callable[..., Transcript]


@pytest.fixture
def read(tmp_path: Path) -> Read:
    """Write a transcript (text, or bytes as they are) to a file and read it."""

    def read_it(content: str | bytes, suffix: str = ".vtt") -> Transcript:
        path = tmp_path / f"talk{suffix}"
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        return read_transcript(path)

    return read_it


def told(transcript: Transcript) -> list[tuple[float, float, str, str]]:
    return [(float(line.start), float(line.end), line.speaker, line.text) for line in transcript.lines]


def stamp(seconds: Fraction) -> str:
    """Return a timestamp as WebVTT writes it."""
    whole, part = divmod(int(seconds * 1000), 1000)
    return f"{whole // 3600:02}:{whole // 60 % 60:02}:{whole % 60:02}.{part:03}"


EXAMPLE = """\
\ufeffWEBVTT - the harbour film
Kind: captions

STYLE
::cue { color: lime }

REGION
id:left
width:40%

NOTE this is passed over
and this

intro
00:01.000 --> 00:04.000 align:start line:0
<v.loud Jo Marsh>Why <i>here</i>?

01:02:03.004 --> 100:00:00.000
<v Oda>Light &amp; water.</v> <c.yellow>Rock.</c>
<00:00:05.500>And you&nbsp;notice him.

NOTE

00:05.000 --> 00:06.000

2
00:06.000-->00:07.000
<ruby>東<rt>とう</rt></ruby>京
"""


def test_all_of_webvtt_is_read(read: Read) -> None:
    # W3C WebVTT: "WebVTT file body", "cue timings", "cue settings list", "cue text", "cue voice span" (from memory)
    found = read(EXAMPLE)
    assert told(found) == [
        (1, 4, "Jo Marsh", "Why here?"),
        (6, 7, "", "東京"),
        (3723.004, float(found.lines[2].end), "Oda", "Light & water."),
        (float(found.lines[2].end), 360000, "", "Rock. And you notice him."),
    ]
    assert found.lines[2].start == Fraction(3723004, 1000)
    assert [line.line for line in found.lines] == [15, 27, 18, 18]
    assert found.problems == ()


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_any_line_end_of_the_standard_reads_the_same(read: Read, end: str) -> None:
    assert read(EXAMPLE.replace("\n", end)) == read(EXAMPLE)


def test_times_are_those_of_webvtt_py_on_the_films_captions() -> None:
    ours = read_transcript(SHARED / "captions.vtt").lines
    theirs = webvtt.read(str(SHARED / "captions.vtt")).captions
    assert len(ours) == len(theirs) == 25
    assert [(stamp(line.start), stamp(line.end), line.text) for line in ours] == [
        (caption.start, caption.end, " ".join(caption.text.split())) for caption in theirs
    ]


@pytest.mark.parametrize(
    ("line", "rule"),
    [
        ("00:60.000 --> 01:10.000", "end at 59"),
        ("60:00.000 --> 61:10.000", "end at 59"),
        ("00:00:05.000 -> 00:00:06.000", "has no times"),
        ("five --> six", "is not two times"),
        ("00:09.000 --> 00:08.000", "ends before it starts"),
        ("00:01.000 -->", "is not two times"),
    ],
)
def test_a_cue_that_cannot_be_read_is_a_problem_with_its_line_and_the_rest_is_read(
    read: Read, line: str, rule: str
) -> None:
    found = read(f"WEBVTT\n\n{line}\nLost.\n\n00:01.000 --> 00:02.000\nKept.\n")
    assert [spoken.text for spoken in found.lines] == ["Kept."]
    assert [(problem.line, rule in problem.message) for problem in found.problems] == [(3, True)]


def test_a_webvtt_file_without_its_header_is_read_and_said(read: Read) -> None:
    found = read("00:01.000 --> 00:02.000\nKept.\n")
    assert [line.text for line in found.lines] == ["Kept."]
    assert [problem.line for problem in found.problems] == [1]


def test_a_cue_may_follow_the_header_or_another_cue_without_an_empty_line(read: Read) -> None:
    # W3C WebVTT, "collect a WebVTT block": a line with an arrow ends the block before it
    found = read("WEBVTT\n00:01.000 --> 00:02.000\nOne.\n00:02.000 --> 00:03.000\nTwo.\n")
    assert [line.text for line in found.lines] == ["One.", "Two."]


SUBRIP = """\
1
00:00:01,000 --> 00:00:04,000 X1:100 X2:200 Y1:10 Y2:20
{\\an8}<font color="#fff">Why <b>here</b>?</font>

2
00:00:04,500 --> 00:00:06,000
ODA: Light and water.
And rock.
3
00:00:06,000 --> 00:00:07,000
- Five < six?
- Yes.
"""


def test_subrip_is_read_with_its_usual_liberties(read: Read) -> None:
    found = read(SUBRIP, ".srt")
    assert told(found) == [
        (1, 4, "", "Why here?"),
        (4.5, 6, "ODA", "Light and water. And rock."),
        (6, float(found.lines[2].end), "", "Five < six?"),
        (float(found.lines[2].end), 7, "", "Yes."),
    ]
    assert found.lines[2].end == 6 + Fraction(11, 15)  # 11 of 15 characters of the second
    assert [line.turn for line in found.lines] == [False, True, True, True]
    assert found.problems == ()


def test_subrip_reads_as_the_srt_and_pysrt_packages_read_it(read: Read) -> None:
    plain = "1\n00:00:01,000 --> 00:00:04,250\nWhy here?\n\n2\n01:00:04,500 --> 01:00:06,007\nLight\nand rock.\n\n"
    ours = read(plain, ".srt").lines
    assert [(timedelta(seconds=float(line.start)), timedelta(seconds=float(line.end)), line.text) for line in ours] == [
        (theirs.start, theirs.end, theirs.content.replace("\n", " ")) for theirs in srt.parse(plain)
    ]
    assert [(line.start * 1000, line.end * 1000, line.text) for line in ours] == [
        (theirs.start.ordinal, theirs.end.ordinal, theirs.text.replace("\n", " "))
        for theirs in pysrt.from_string(plain)
    ]


@pytest.mark.parametrize(
    "encode",
    [
        lambda text: text.encode("utf-8"),
        lambda text: text.encode("utf-8-sig"),
        lambda text: codecs.BOM_UTF16_LE + text.encode("utf-16-le"),
        lambda text: codecs.BOM_UTF16_BE + text.encode("utf-16-be"),
        lambda text: text.encode("utf-16-le"),
        lambda text: text.encode("utf-16-be"),
        lambda text: text.encode("cp1252"),
        lambda text: text.encode("latin-1"),
    ],
)
def test_every_usual_encoding_is_read(read: Read, encode: Callable[[str], bytes]) -> None:
    assert told(read(encode("1\n00:00:01,000 --> 00:00:02,000\nGrüße, café\n"), ".srt")) == [(1, 2, "", "Grüße, café")]


def cues(*texts: str) -> str:
    return "".join(f"00:00:0{place},000 --> 00:00:0{place + 1},000\n{text}\n\n" for place, text in enumerate(texts))


def test_a_name_before_a_colon_speaks_until_another_does(read: Read) -> None:
    found = read(cues("JO: Why here?", "ODA: Light.", "And water.", "JO: And rock?"), ".srt")
    assert [line.speaker for line in found.lines] == ["JO", "ODA", "ODA", "JO"]
    assert [line.text for line in found.lines] == ["Why here?", "Light.", "And water.", "And rock?"]


def test_where_only_the_questions_are_marked_the_answers_are_anothers(read: Read) -> None:
    found = read(cues("Q: Why here?", "Light.", "And water.", "Q: And rock?"), ".srt")
    assert [(line.speaker, line.turn) for line in found.lines] == [("Q", True), ("", True), ("", False), ("Q", True)]


def test_a_colon_within_a_sentence_names_nobody(read: Read) -> None:
    found = read(cues("Remember: it was cold.", "At 10:30 I saw one thing: light."), ".srt")
    assert [line.speaker for line in found.lines] == ["", ""]
    assert found.lines[0].text == "Remember: it was cold."


def test_a_speaker_named_twice_in_small_letters_is_one(read: Read) -> None:
    found = read(cues("Oda Velkerman: Light.", "Jo: Why?", "Oda Velkerman: Water.", "Jo: Ah."), ".srt")
    assert {line.speaker for line in found.lines} == {"Oda Velkerman", "Jo"}


def test_lines_come_in_order_of_time(read: Read) -> None:
    found = read("WEBVTT\n\n00:05.000 --> 00:06.000\nLater.\n\n00:01.000 --> 00:02.000\nSooner.\n")
    assert [line.text for line in found.lines] == ["Sooner.", "Later."]


@pytest.mark.parametrize("content", [b"", b"WEBVTT\n", b"\0\0\0", b"slot,start\n1,2\n", b"\x89PNG\r\n\x1a\n\0\0"])
def test_a_file_without_a_line_of_talk_is_refused_with_what_would_work(read: Read, content: bytes) -> None:
    with pytest.raises(ListError, match=r"talk\.vtt"):
        read(content)


def test_a_missing_file_a_folder_and_a_huge_file_are_refused(tmp_path: Path) -> None:
    (tmp_path / "huge.vtt").write_bytes(b"WEBVTT\n\n" + b"x" * 5_000_000)
    for name in ("none.vtt", "", "huge.vtt"):
        with pytest.raises(ListError, match=r"WebVTT \(\.vtt\) or SubRip"):
            read_transcript(tmp_path / name)


@pytest.mark.parametrize("piece", ["<", "{\\", "&", "-->\n", "<v ", "<v A>x", "NAME: x\n", "- x\n", "1\n", "(", "a:"])
@pytest.mark.parametrize("head", ["WEBVTT\n\n00:01.000 --> 00:02.000\n", "1\n00:00:01,000 --> 00:00:02,000\n"])
def test_long_runs_of_marks_are_read_to_their_end(read: Read, piece: str, head: str) -> None:
    found = read(head + "Kept.\n" + piece * 20_000)
    assert found.lines[0].text.startswith("Kept.")


times = st.integers(0, 359_999_999)
texts = st.lists(
    st.text(
        st.characters(codec="utf-8", exclude_categories=("C", "Z"), exclude_characters="<>&{}\\:：-–—‐"), min_size=1
    ),
    min_size=1,
    max_size=4,
).map(" ".join)


@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture])
@given(st.lists(st.tuples(times, times, texts), min_size=1, max_size=6))
def test_what_webvtt_py_writes_is_read_back_exactly(read: Read, listed: list[tuple[int, int, str]]) -> None:
    listed = sorted((min(a, b), max(a, b), text) for a, b, text in listed)
    written = webvtt.WebVTT()
    for start, end, text in listed:
        written.captions.append(webvtt.Caption(stamp(Fraction(start, 1000)), stamp(Fraction(end, 1000)), text))
    buffer = io.StringIO()
    written.write(buffer)
    found = read(buffer.getvalue())
    assert [(line.start, line.end, line.text) for line in found.lines] == [
        (Fraction(start, 1000), Fraction(end, 1000), unicodedata.normalize("NFC", text)) for start, end, text in listed
    ]


@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture])
@given(st.lists(st.tuples(times, times, texts), min_size=1, max_size=6))
def test_what_the_srt_package_writes_is_read_back_exactly(read: Read, listed: list[tuple[int, int, str]]) -> None:
    subtitles = [
        srt.Subtitle(0, timedelta(milliseconds=min(a, b)), timedelta(milliseconds=max(a, b)), text)
        for a, b, text in listed
    ]
    theirs = list(srt.parse(srt.compose(subtitles)))
    ours = read(srt.compose(subtitles), ".srt").lines if theirs else ()
    assert [(line.start * 1000, line.end * 1000) for line in ours] == [
        (one.start / timedelta(milliseconds=1), one.end / timedelta(milliseconds=1)) for one in theirs
    ]


@settings(max_examples=80, suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture])
@given(
    st.one_of(st.binary(max_size=200), st.text(st.sampled_from("WEBVT0123456789:.,-> \n\r<v/&;{}\\Aa?"), max_size=200))
)
def test_any_bytes_give_a_transcript_or_a_refusal(read: Read, content: bytes | str) -> None:
    try:
        lines = read(content).lines
    except ListError:  # a refusal; what it says has its own tests
        return
    assert lines
    assert all(0 <= line.start <= line.end and line.text for line in lines)


def test_a_moment_within_a_line_is_shared_out_by_characters() -> None:
    line = Spoken(Fraction(10), Fraction(14), "", "abcdefgh", 1)
    assert [line.time_at(at) for at in (-1, 0, 2, 8, 99)] == [10, 10, 11, 14, 14]
