"""The README's promises: its example prints what it says, its lines set themselves up, its tables are whole."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

import kenburns
from kenburns.deliver.manifest import ManifestEntry
from kenburns.plan import document

README = (Path(__file__).parents[1] / "README.md").read_text(encoding="utf-8")

PUBLIC = {
    "Check",
    "Headroom",
    "KenburnsError",
    "Outcome",
    "Pace",
    "Plan",
    "Rect",
    "RequestError",
    "Shot",
    "Size",
    "check",
    "demo",
    "headroom",
    "make",
    "new_film",
    "plan_shots",
    "read_plan",
    "shot_clip",
    "shot_path",
}


def block(language: str) -> str:
    found = re.search(rf"```{language}\n(.*?)```", README, re.DOTALL)
    assert found
    return found[1]


def test_the_example_prints_what_the_readme_says(tmp_path: Path) -> None:
    run = subprocess.run(
        [sys.executable, "-c", block("python")], cwd=tmp_path, capture_output=True, text=True, check=False
    )
    assert run.returncode == 0, run.stderr
    assert run.stdout == block("text")


def test_public_names_are_these_and_each_is_there() -> None:
    assert set(kenburns.__all__) == PUBLIC
    for name in PUBLIC:
        assert getattr(kenburns, name).__name__ == name
    with pytest.raises(AttributeError, match="no attribute 'nothing'"):
        _ = kenburns.nothing


def test_both_first_lines_set_themselves_up() -> None:
    lines = [line.strip() for line in README.splitlines() if line.startswith("    python3 -m venv")]
    assert len(lines) == 2
    assert lines[0].endswith("kenburns demo")
    assert lines[1].endswith("pytest")


@pytest.mark.parametrize(
    "model",
    [
        document.Plan,
        document.PlannedFrame,
        document.PlannedSlot,
        document.PlannedStill,
        document.PlannedShot,
        document.PlannedStop,
        document.PlannedCard,
        document.PlannedWords,
        document.PlannedScreen,
        document.PlannedText,
        ManifestEntry,
    ],
)
def test_every_field_of_what_comes_out_is_described(model: Any) -> None:
    said = README[README.index("## What comes out") : README.index("## From Python")]
    for name in model.__pydantic_fields__:
        assert re.search(rf"\b{name}\b", said), f"{model.__name__}.{name}"
