"""Imports run one way, in the order of the rooms; no module is outside the order, and none closes a ring."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

PACKAGE = Path(__file__).resolve().parents[1] / "kenburns"

# Each line may import from itself and from the lines above it. A line with several groups keeps them apart.
ORDER: tuple[tuple[set[str], ...], ...] = (
    ({"apart", "errors", "files", "remembered", "resources", "terminal", "toml_file"},),
    ({"motion"},),
    ({"stills"}, {"cutlist"}, {"cards"}),
    ({"inventory"},),
    ({"values", "presets"},),
    ({"film", "film_file", "film_place", "fresh_film"},),
    ({"plan"}, {"owners"}),
    ({"notes"}, {"shot_needs"}),
    ({"render"},),
    ({"deliver"},),
    ({"records"}, {"cluster"}, {"last_answer"}, {"worth_knowing"}, {"how_read"}),
    ({"looking"},),
    ({"card_wishes"}, {"rights"}, {"resolution", "proposals", "run_log"}),
    ({"screen_words"},),
    ({"prepare", "spotting"},),
    ({"foresight"}, {"request"}, {"remarks"}),
    ({"status"}, {"new_cut"}),
    ({"job"},),
    ({"review"}, {"telling"}),
    ({"demo_film", "composing", "bars", "screen", "review_screen"},),
    ({"desk"},),
    ({"cli", "__init__", "__main__"},),
)
PLACE = {
    name: (line, group) for line, groups in enumerate(ORDER) for group, names in enumerate(groups) for name in names
}

# Each costs a large part of a second, or needs a system library; `import kenburns` must not wait for them.
HEAVY = {"cv2", "pyvips", "av", "numba", "moviepy", "PIL", "pydantic", "rapidfuzz", "distributed"}


def modules(package: Path) -> dict[str, Path]:
    """Return each module's dotted name below the package, "" for the package itself."""
    found = {}
    for path in sorted(package.rglob("*.py")):
        parts = path.relative_to(package).with_suffix("").parts
        found[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = path
    return found


def imported(package: Path, name: str, path: Path) -> Iterator[str]:
    """Yield the modules of the package that a module imports, also inside functions and type-checking blocks."""
    known = modules(package)
    home = name.split(".") if path.stem == "__init__" else name.split(".")[:-1]
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names = [alias.name.split(".") for alias in node.names]
            yield from (".".join(parts[1:]) for parts in names if parts[0] == package.name)
        elif isinstance(node, ast.ImportFrom) and (source := _source(node, home, package.name)) is not None:
            for alias in node.names:
                member = f"{source}.{alias.name}".lstrip(".")
                yield member if member in known else source


def _source(node: ast.ImportFrom, home: list[str], package: str) -> str | None:
    parts = node.module.split(".") if node.module else []
    if node.level:
        base = [part for part in home if part]
        return ".".join(base[: len(base) - node.level + 1] + parts)
    return ".".join(parts[1:]) if parts and parts[0] == package else None


def place(name: str) -> tuple[int, int]:
    room = name.partition(".")[0] or "__init__"
    if room not in PLACE:
        pytest.fail(f"kenburns.{name} stands in no line of ORDER; add it where its imports allow")
    return PLACE[room]


def runs_back(importer: str, name: str) -> bool:
    (line, group), (other_line, other_group) = place(importer), place(name)
    return other_line > line or (other_line == line and other_group != group)


def backward_imports(package: Path) -> list[str]:
    return [
        f"{importer or '__init__'} imports {name or '__init__'}"
        for importer, path in modules(package).items()
        for name in imported(package, importer, path)
        if runs_back(importer, name)
    ]


def ring(package: Path) -> list[str]:
    """Return the modules of one ring of imports, empty where there is none."""
    graph = {name: set(imported(package, name, path)) - {name} for name, path in modules(package).items()}
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as found:
        return list(found.args[1])
    return []


def test_no_import_runs_back() -> None:
    assert backward_imports(PACKAGE) == []


def test_every_module_has_a_place_in_the_order() -> None:
    assert len(modules(PACKAGE)) > 10
    for name in modules(PACKAGE):
        place(name)


def test_no_modules_import_each_other_in_a_ring() -> None:
    assert ring(PACKAGE) == []


def test_no_import_hides_in_a_string_outside_the_package_itself() -> None:
    # kenburns/__init__.py may give its names only when they are asked for
    hidden = [
        name
        for name, path in modules(PACKAGE).items()
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if name and _word(node) in {"import_module", "__import__"}
    ]
    assert hidden == []


def _word(node: ast.AST) -> str:
    return node.id if isinstance(node, ast.Name) else node.attr if isinstance(node, ast.Attribute) else ""


def write(package: Path, files: dict[str, str]) -> Path:
    for name, text in files.items():
        (package / name).parent.mkdir(parents=True, exist_ok=True)
        (package / name).write_text(text, encoding="utf-8")
    return package


@pytest.mark.parametrize(
    "line",
    [
        "from ..cli import main",
        "from .. import cli",
        "import kenburns.cli",
        "from kenburns import cli",
        "from kenburns.cli import main",
        "def late():\n    from ..cli import main",
        "from .. import main",  # a name of the package itself
    ],
)
def test_the_check_sees_an_import_that_runs_back_in_every_form(tmp_path: Path, line: str) -> None:
    package = write(
        tmp_path / "kenburns", {"__init__.py": "", "cli.py": "", "motion/__init__.py": "", "motion/a.py": line}
    )
    assert len(backward_imports(package)) == 1


@pytest.mark.parametrize(
    ("importer", "name", "back"),
    [
        ("stills.open", "cutlist.slots", True),
        ("stills.open", "stills.folder", False),
        ("cards.look", "errors", False),
        ("motion.path", "stills.open", True),
        ("presets", "cards.look", False),
        ("film", "plan", True),
        ("deliver.sheet", "render.frames", False),
        ("", "cli", False),
    ],
)
def test_the_order_is_the_one_agreed(importer: str, name: str, back: bool) -> None:
    assert runs_back(importer, name) is back


def test_the_check_sees_a_ring_through_a_function(tmp_path: Path) -> None:
    files = {
        "__init__.py": "",
        "motion/__init__.py": "",
        "motion/a.py": "from . import b",
        "motion/b.py": "def late():\n    from .a import x",
    }
    assert set(ring(write(tmp_path / "kenburns", files))) == {"motion.a", "motion.b"}


def test_importing_the_package_pulls_in_no_heavy_library() -> None:
    code = "import sys, kenburns; print(*sorted({name.split('.')[0] for name in sys.modules}))"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert "kenburns" in run.stdout.split()
    assert HEAVY.isdisjoint(run.stdout.split())
