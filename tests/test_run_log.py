"""The log of a run: a JSON object a line, and a summary in words."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import pytest

from kenburns.errors import OptionError
from kenburns.job import carry_out, no_progress
from kenburns.prepare import Options, prepare
from kenburns.run_log import run_log

Photo = Callable[..., Path]


def test_every_slot_is_told_of_with_its_time_memory_and_bytes(tmp_path: Path, photograph: Photo) -> None:
    photograph(tmp_path / "photographs" / "sea.png", 400, 300)
    (tmp_path / "film.toml").write_text('[film]\nframe = "128x72"\ncodec = "review"\n')
    (tmp_path / "cutlist.csv").write_text("slot,start,length,wanted,still\n1,0,5,a,sea.png\n2,9,5,b,\n")
    with run_log(tmp_path / "run.jsonl") as log:
        outcome = carry_out(prepare(tmp_path, Options()), no_progress, log)
    events = [json.loads(line) for line in (tmp_path / "run.jsonl").read_text().splitlines()]
    assert [event["event"] for event in events].count("slot made") == 2
    assert events[0]["event"] == "run begins"
    assert events[0]["due"] == ["1", "2"]
    sizes = {entry.slot: entry.bytes for entry in outcome.manifest.slots}
    for event in events:
        assert datetime.fromisoformat(event["time"]).tzinfo is not None
        assert event["memory_mb"] > 0
        if event["event"] == "slot made":
            assert event["bytes"] == sizes[event["slot"]]
            assert event["seconds"] >= 0
    assert any("took the longest" in remark for remark in outcome.remarks)
    assert outcome.manifest.made_with["kenburns"]


def test_a_log_is_added_to_and_one_that_cannot_be_written_is_refused(tmp_path: Path) -> None:
    for _ in range(2):
        with run_log(tmp_path / "a.jsonl") as log:
            log.tell("run begins")
    assert len((tmp_path / "a.jsonl").read_text().splitlines()) == 2
    with pytest.raises(OptionError, match=r"--log: .* cannot be written"), run_log(tmp_path):
        pass
