"""The demo dossiers laid out and audited."""

from __future__ import annotations

from pathlib import Path

import pytest

from fidelity.apparatus import demo
from fidelity.apparatus.demo import lay_out_demo
from fidelity.audit import Audit
from fidelity.errors import DataError
from tests.apparatus.made import made_audit


def test_dossiers_and_results_stand_beside_each_other(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each demo dossier is laid out whole, its results beside it, and progress is told."""
    seen: list[Path] = []

    def audits(dossier: Path, _: object) -> Audit:
        assert (dossier / "dossier.toml").is_file()
        seen.append(dossier)
        return made_audit()

    monkeypatch.setattr(demo, "audit", audits)
    told: list[str] = []
    made = lay_out_demo(tmp_path / "demo", told.append)
    assert [folder.name for folder, _ in made] == [f"{dossier.name}_results" for dossier in seen]
    assert "wickenby_short_results" in [folder.name for folder, _ in made]
    for folder, _ in made:
        assert (folder / "report.html").is_file()
        assert (folder.with_name(folder.name.removesuffix("_results")) / "dossier.toml").is_file()
    assert told == [f"demo dossier {dossier.name}" for dossier in seen]


def test_a_failed_audit_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """If an audit fails, no half-made demo is left."""

    def fails(*_: object) -> Audit:
        raise DataError("no such letter")

    monkeypatch.setattr(demo, "audit", fails)
    with pytest.raises(DataError, match="no such letter"):
        lay_out_demo(tmp_path / "demo")
    assert list(tmp_path.iterdir()) == []


def test_a_folder_in_use_is_refused(tmp_path: Path) -> None:
    """A folder with anything in it is left alone."""
    (tmp_path / "mine.txt").write_text("mine")
    with pytest.raises(DataError, match="not an empty folder"):
        lay_out_demo(tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["mine.txt"]
