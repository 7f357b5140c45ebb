"""The project as a whole: its layout, its README, its packaging, its style."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from fidelity.cli import main

ROOT = Path(__file__).resolve().parent.parent
PACKAGE = ROOT / "fidelity"

# The order of work: each room may import from those above it. Rooms of one line know each other.
ORDER = (
    ("errors", "letters", "in_notebook"),
    ("terms",),
    ("settings",),
    ("witnesses",),
    ("dossier",),
    ("alignment",),
    ("variants",),
    ("confusions",),
    ("copyist",),
    ("hands",),
    ("sources",),
    ("causes",),
    ("readings",),
    ("trial",),
    ("found",),
    ("judge",),
    ("pairs", "rules_run"),
    ("taken",),
    ("one_rule",),
    ("audit",),
    ("place", "attested"),
    ("apparatus",),
    ("given",),
    ("functions",),
    ("cli_options",),
    ("cli_dossier", "cli_hands", "cli_place", "cli_imported", "cli_attest"),
    ("cli",),
    ("__main__",),
)
RANK = {room: rank for rank, rooms in enumerate(ORDER) for room in rooms}
BANNED_NAMES = {"utils", "helpers", "common", "base", "manager", "misc"}
LONG_FUNCTIONS = {"fill"}  # the one loop that is compiled; cut up it would be slow interpreted


def sources() -> list[Path]:
    return sorted(PACKAGE.rglob("*.py"))


def room_of(path: Path) -> str:
    parts = path.relative_to(PACKAGE).with_suffix("").parts
    return parts[0]


@pytest.mark.parametrize("path", sources(), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_imports_go_one_way(path: Path) -> None:
    """A room imports from the rooms above it and from none below (the package's front door apart)."""
    room = room_of(path)
    if room == "__init__":
        return
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for node in ast.walk(tree):
        names = []
        if isinstance(node, ast.ImportFrom) and node.module:
            names = [node.module]
        elif isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        for name in names:
            parts = name.split(".")
            if parts[0] == "fidelity" and len(parts) > 1:
                assert RANK[parts[1]] <= RANK[room], f"{room} imports {name}"


@pytest.mark.parametrize("path", sources(), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_files_and_functions_are_short_and_told(path: Path) -> None:
    """No file over 300 lines, no function over 40, no nameless rooms; every file says what it is for."""
    text = path.read_text(encoding="utf-8")
    assert len(text.splitlines()) <= 300
    assert path.stem not in BANNED_NAMES
    tree = ast.parse(text)
    assert ast.get_docstring(tree) or path.name == "__main__.py"
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef) and node.name not in LONG_FUNCTIONS:
            body = node.body[1:] if ast.get_docstring(node) else node.body
            lines = (node.end_lineno or 0) - body[0].lineno + 1 if body else 0
            assert lines <= 40, f"{node.name} has {lines} lines"


def test_every_package_is_in_the_wheel() -> None:
    """The list of packages in pyproject.toml names every package there is."""
    listed = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["setuptools"][
        "packages"
    ]
    found = {".".join(p.parent.relative_to(ROOT).parts) for p in PACKAGE.rglob("__init__.py")}
    assert {name for name in listed if not name.startswith("fidelity._data")} == found


def test_readme_names_every_command_and_no_other() -> None:
    """Every command stands in the README, and what the README calls a command is one."""
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    named = set(re.findall(r"`?(?:bin/)?fidelity ([a-z]+) ", readme))
    assert set(main.commands) - {"apply"} <= named | {"apply"}
    assert "fidelity apply" in readme
    assert named <= set(main.commands) | {"stands"}


def test_top_level_is_as_agreed() -> None:
    """Nothing lies at the top that was not agreed on."""
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False).stdout
    agreed = {"README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml"}
    agreed |= {"fidelity", "confusion_tables", "demo_pairs", "tests"}
    top = {line.split("/")[0] for line in listed.splitlines()}
    assert {name for name in top if not name.startswith(".")} <= agreed


def test_ruff_is_content() -> None:
    """The linter finds nothing."""
    done = subprocess.run(
        [sys.executable, "-m", "ruff", "check", "."], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout


def test_mypy_is_content() -> None:
    """The strict type checker finds nothing."""
    done = subprocess.run(
        [sys.executable, "-m", "mypy"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout


def test_the_wheel_works_outside_the_checkout(tmp_path: Path) -> None:
    """Built as a wheel and unpacked elsewhere, the program finds its tables and runs its commands."""
    wheel = [sys.executable, "-m", "pip", "wheel", ".", "--no-deps", "--no-build-isolation", "--quiet"]
    done = subprocess.run(
        [*wheel, "--wheel-dir", str(tmp_path)],
        cwd=_copy_of_sources(tmp_path),
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    (made,) = tmp_path.glob("*.whl")
    unpacked = tmp_path / "unpacked"
    unpack = [sys.executable, "-m", "zipfile", "-e", str(made), str(unpacked)]
    assert subprocess.run(unpack, check=False).returncode == 0
    code = (
        "import pathlib, fidelity, fidelity.witnesses.folds as folds;"
        f"assert pathlib.Path(fidelity.__file__).is_relative_to({str(unpacked)!r});"
        "assert 'insular' in folds.fold_sets();"
        "from fidelity.witnesses.data import data_folder;"
        "found = fidelity.audit(data_folder('demo_pairs') / 'wickenby_short');"
        "print(found.confusions[0].folded)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=tmp_path,
        env={"PYTHONPATH": str(unpacked), "PYTHONIOENCODING": "utf-8"},
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )
    assert done.stdout.strip() == "s→r", done.stderr


def _copy_of_sources(folder: Path) -> Path:
    """Copy what the wheel is built from, so that building leaves nothing behind in the checkout."""
    import shutil

    to = folder / "sources"
    ignore = shutil.ignore_patterns("*.so", "*.c", "__pycache__", "*.egg-info", "build")
    for name in ("fidelity", "confusion_tables", "demo_pairs"):
        shutil.copytree(ROOT / name, to / name, ignore=ignore)
    for name in ("pyproject.toml", "README.md", "LICENSE"):
        shutil.copy(ROOT / name, to / name)
    return to
