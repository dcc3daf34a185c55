"""--left-handed, from the command line to the file."""

from __future__ import annotations

import json
from io import BytesIO
from pathlib import Path

import pypdf
import pytest

from cli.running import PATTERN, run

SIZES = """
[[size]]
name = "S"
[size.loom]
pegs = 36
[[size]]
name = "M"
"""


@pytest.fixture(autouse=True)
def pattern(folder: Path) -> None:
    (folder / "harbour.toml").write_text(PATTERN, encoding="utf-8")
    (folder / "sizes.toml").write_text(PATTERN + SIZES, encoding="utf-8")
    backwards = PATTERN.replace("[loom]", '[loom]\nworking = "right to left"')
    (folder / "backwards.toml").write_text(backwards, encoding="utf-8")


@pytest.mark.parametrize(
    ("args", "name"),
    [
        (("booklet", "harbour.toml"), "harbour-left-handed-booklet.pdf"),
        (("booklet", "sizes.toml"), "sizes-left-handed-booklet.pdf"),
        (("booklet", "sizes.toml", "--size", "S"), "sizes-s-left-handed-booklet.pdf"),
        (("card", "harbour.toml"), "harbour-left-handed-turn-card.pdf"),
        (("chart", "harbour.toml", "--part", "leg"), "harbour-left-handed-leg-chart.pdf"),
    ],
)
def test_pages_and_their_file_are_named_left_handed(
    folder: Path, args: tuple[str, ...], name: str
) -> None:
    done = run(*args, "--left-handed")
    assert done.exit_code == 0, done.output
    assert name in done.output
    reader = pypdf.PdfReader(BytesIO((folder / name).read_bytes()))
    assert reader.metadata is not None
    assert str(reader.metadata.subject).endswith("; left-handed edition")
    assert "left-handed edition" in reader.pages[0].extract_text().lower()


def test_steps_run_the_other_way() -> None:
    plain, left = run("steps", "harbour.toml"), run("steps", "harbour.toml", "--left-handed")
    assert "the first round runs from left to right." in plain.stdout
    assert "the first round runs from right to left." in left.stdout
    assert "cross right with left 1 over right 1" in plain.stdout
    assert "cross left with right 1 over left 1" in left.stdout
    assert "cross right" not in left.stdout


def test_the_second_sock_of_a_mirrored_pair_is_the_first_one_in_a_mirror() -> None:
    left = run("steps", "harbour.toml", "--left-handed", "--sock", "2")
    assert "cross right with left 1 over right 1" in left.stdout
    assert "cross left" not in left.stdout


def test_data_of_every_size_are_mirrored() -> None:
    plain = json.loads(run("data", "sizes.toml").stdout)
    left = json.loads(run("data", "sizes.toml", "--left-handed").stdout)
    assert len(plain["sizes"]) == len(left["sizes"]) == 2
    for one, other in zip(plain["sizes"], left["sizes"], strict=True):
        assert one["sock"]["loom"]["working"] == "left to right"
        assert other["sock"]["loom"]["working"] == "right to left"
        rows = zip(one["sock"]["events"], other["sock"]["events"], strict=True)
        for row, image in rows:
            assert row.get("pegs") == image.get("pegs")
            assert row["after"] == image["after"]
            if row["kind"] == "row":
                assert row["to_right"] is not image["to_right"]


def test_a_pattern_for_the_left_hand_stays_as_it_is() -> None:
    plain, left = run("data", "backwards.toml"), run("data", "backwards.toml", "--left-handed")
    assert plain.exit_code == left.exit_code == 0
    assert plain.stdout == left.stdout
