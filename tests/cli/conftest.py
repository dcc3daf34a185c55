"""A pattern in a folder of its own."""

from __future__ import annotations

from pathlib import Path

import pytest

from cli.running import PATTERN


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder that is the working folder."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def pattern(folder: Path) -> Path:
    """harbour.toml, the only file of the working folder."""
    path = folder / "harbour.toml"
    path.write_text(PATTERN, encoding="utf-8")
    return path
