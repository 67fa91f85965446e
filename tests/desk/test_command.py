"""The command that opens the desk; what it serves is tested elsewhere."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from kenburns.cli import app


@pytest.fixture
def served(monkeypatch: pytest.MonkeyPatch) -> list[tuple[Path, int, bool]]:
    """Collect what would be served."""
    asked: list[tuple[Path, int, bool]] = []

    def serve(target: Path, port: int, *, open_browser: bool, **_: Any) -> None:
        asked.append((target, port, open_browser))

    monkeypatch.setattr("kenburns.desk.server.serve", serve)
    return asked


def test_without_a_command_the_desk_opens_on_the_folder_one_stands_in(served: list[tuple[Path, int, bool]]) -> None:
    assert CliRunner().invoke(app, []).exit_code == 0
    assert served == [(Path(), 0, True)]


def test_the_desk_opens_on_a_target_at_a_port_with_or_without_the_browser(
    served: list[tuple[Path, int, bool]], tmp_path: Path
) -> None:
    assert CliRunner().invoke(app, ["desk", str(tmp_path), "--port", "8123", "--no-browser"]).exit_code == 0
    assert served == [(tmp_path, 8123, False)]


def test_a_target_that_is_not_there_is_a_wrong_request(tmp_path: Path) -> None:
    result = CliRunner().invoke(app, ["desk", str(tmp_path / "nowhere"), "--no-browser"])
    assert result.exit_code == 2
    assert "is not there" in result.stderr


def test_help_tells_of_the_desk(served: list[tuple[Path, int, bool]]) -> None:
    assert "desk" in CliRunner().invoke(app, ["--help"]).stdout
    assert served == []
