"""What the samples print is current: read back, looked at, and byte for byte where that can be.

`samples/build.py` rebuilds it.
"""

from __future__ import annotations

import hashlib
import importlib.util
import os
import re
import subprocess
import sys
import zlib
from collections.abc import Iterator
from functools import cache
from importlib.metadata import version
from io import BytesIO
from pathlib import Path
from types import ModuleType

import pypdfium2
import pytest
from PIL import Image, ImageChops

from charts.parts import Part
from charts.reader import Ring, read_chart, read_steps
from charts.rows import Row
from layouts.commands.pattern import Pattern, open_pattern
from tests.readback.expected import differences, graft_of
from tests.readback.pdf_pages import read_pdf
from tests.readback.printed_steps import read_printed_steps
from tests.readback.read_booklet import ReadBooklet, read_charts
from tests.readback.svg_chart import read_svg

ROOT = Path(__file__).resolve().parents[2]
SAMPLES = ROOT / "samples"
BUILD = SAMPLES / "build.py"
NAMES = ("ember", "millstream", "reed-bank")

DPI = 60
DARKER = 64
"""Levels of grey that a dot may differ by: another version of the library that draws smooths
edges otherwise."""
DOTS_SHARE = 0.0002
"""Share of a page's dots that may differ by more: less than one word."""

MOST_PICTURE_BYTES = 60_000
MOST_GALLERY_BYTES = 700_000

PACKED = "12d5225b"
"""Start of the digest of something packed by the zlib that the committed files were packed by."""


def script(path: Path) -> ModuleType:
    """A script of the samples as a module."""
    spec = importlib.util.spec_from_file_location(path.stem, path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@cache
def fresh() -> dict[str, bytes]:
    """Every file by its name, as it is built now."""
    return dict(script(BUILD).files())


@cache
def pattern(name: str) -> Pattern:
    return open_pattern(str(SAMPLES / f"{name}.toml"))


def committed(name: str) -> bytes:
    return (SAMPLES / name).read_bytes()


def test_every_file_is_there_and_the_gallery_holds_no_other() -> None:
    missing = [name for name in fresh() if not (SAMPLES / name).is_file()]
    assert missing == []
    gallery = {f"gallery/{path.name}" for path in (SAMPLES / "gallery").iterdir()}
    assert gallery == {name for name in fresh() if name.startswith("gallery/")}


def test_logo_is_what_its_script_draws() -> None:
    drawn = script(SAMPLES / "draw_logo.py").drawn()
    with Image.open(SAMPLES / "reed-bank-logo.png") as logo:
        assert (logo.mode, logo.size) == (drawn.mode, drawn.size)
        # another version of the library may smooth edges otherwise
        difference = ImageChops.difference(logo.getchannel("A"), drawn.getchannel("A"))
    assert difference.getextrema()[1] <= DARKER


def test_every_pattern_has_its_files() -> None:
    for path in SAMPLES.glob("*.toml"):
        if path.name != "looms.toml":
            assert any(name.startswith(f"{path.stem}-") for name in fresh()), path.name


def test_pictures_that_the_readme_shows_are_there() -> None:
    shown = re.findall(r"\((samples/gallery/[^)]+)\)", (ROOT / "README.md").read_text("utf-8"))
    assert shown
    assert all((ROOT / name).is_file() for name in shown)


@pytest.mark.parametrize("name", NAMES)
def test_booklet_tells_the_pattern_as_it_is_now(name: str) -> None:
    socks = pattern(name)
    read = ReadBooklet(read_pdf(committed(f"{name}-booklet.pdf")))
    assert read.steps.events == socks.first.rows.events
    assert read.second_steps.events == socks.second.rows.events
    for knit, steps, second in (
        (socks.first, read.steps, False),
        (socks.second, read.second_steps, True),
    ):
        rows = tuple(event for event in knit.rows.events if isinstance(event, Row))
        assert read.chart_rows(second=second) == rows
        parts, charts = read.parts_of(second=second), read.charts_of(second=second)
        assert differences(knit, parts=parts, steps=steps, charts=charts) == []
    assert read.graft == graft_of(socks.first.plan.toe_pegs)


@pytest.mark.parametrize("name", NAMES)
def test_card_tells_the_pattern_as_it_is_now(name: str) -> None:
    knit = pattern(name).first
    sheets = read_pdf(committed(f"{name}-turn-card.pdf"))
    ring = Ring(knit.plan.loom.pegs, knit.plan.loom.working)
    parts, charts = read_printed_steps(sheets), read_charts(sheets, ring)
    steps = read_steps([part.plain for part in parts], pegs=ring.pegs, working=ring.working)
    assert [one.title for one in parts] == [one.title for one in charts] == [Part.TURN.title]
    assert differences(knit, parts=parts, steps=steps, charts=charts) == []


@pytest.mark.parametrize("name", NAMES)
def test_chart_tells_the_pattern_as_it_is_now(name: str) -> None:
    knit = pattern(name).first
    chart = read_svg(committed(f"{name}-leg-chart.svg"))
    ring = Ring(knit.plan.loom.pegs, knit.plan.loom.working)
    rows = [event for event in knit.rows.of(*Part.LEG.sections) if isinstance(event, Row)]
    assert list(read_chart(chart.plain, ring).rows) == rows


def test_every_file_looks_as_it_would_now() -> None:
    """Pages at 60 dpi, pictures as they are, SVG to the letter."""
    for name, data in fresh().items():
        if name.endswith(".svg"):
            assert committed(name) == data, name
            continue
        ours, theirs = list(pictures(name, committed(name))), list(pictures(name, data))
        assert [one.size for one in ours] == [one.size for one in theirs], name
        for number, (one, other) in enumerate(zip(ours, theirs, strict=True), start=1):
            assert share_that_differs(one, other) <= DOTS_SHARE, (name, number)


def pictures(name: str, data: bytes) -> Iterator[Image.Image]:
    """The picture, or every page of the PDF, in greys."""
    if name.endswith(".png"):
        yield Image.open(BytesIO(data)).convert("L")
        return
    document = pypdfium2.PdfDocument(data)
    for page in document:
        yield page.render(scale=DPI / 72, grayscale=True).to_pil().convert("L")
    document.close()


def share_that_differs(one: Image.Image, other: Image.Image) -> float:
    """Share of the dots whose greys are more than DARKER levels apart."""
    levels = ImageChops.difference(one, other).histogram()
    return sum(levels[DARKER + 1 :]) / (one.width * one.height)


def test_a_word_more_on_a_page_is_seen() -> None:
    page = Image.new("L", (350, 496), 255)
    other = page.copy()
    other.paste(0, (100, 100, 112, 104))
    assert share_that_differs(page, page) == 0.0
    assert share_that_differs(page, other) > DOTS_SHARE


def unlike_the_pins() -> str:
    """Why bytes may differ here; empty if they may not."""
    pins = dict(
        re.findall(r"^(\S+)==(\S+)$", (ROOT / ".ci/constraints.txt").read_text("utf-8"), re.M)
    )
    for package in ("reportlab", "pillow", "pypdfium2"):
        if version(package) != pins[package]:
            return f"{package} {version(package)} is installed, {pins[package]} is pinned"
    packed = zlib.compress(b"".join(b"%d %d l\n" % (n, n * n) for n in range(2000)))
    if not hashlib.sha256(packed).hexdigest().startswith(PACKED):
        return "this zlib packs otherwise"
    return ""


def test_files_are_byte_for_byte_what_the_pinned_versions_make() -> None:
    """Of pictures every dot: how they are packed depends on the machine."""
    if reason := unlike_the_pins():
        pytest.skip(reason)
    for name, data in fresh().items():
        if name.endswith(".png"):
            (ours,), (theirs,) = pictures(name, committed(name)), pictures(name, data)
            assert ours.tobytes() == theirs.tobytes(), name
        else:
            assert committed(name) == data, name


def test_same_files_whatever_the_hash_seed_time_zone_and_folder(tmp_path: Path) -> None:
    subprocess.run(
        [sys.executable, BUILD, tmp_path / "built"],
        cwd=tmp_path,
        env={
            **os.environ,
            "PYTHONHASHSEED": "4242",
            "PYTHONPATH": str(ROOT),
            "TZ": "Pacific/Kiritimati",
            "LC_ALL": "de_DE.UTF-8",
        },
        check=True,
        capture_output=True,
    )
    built = tmp_path / "built"
    assert {
        path.relative_to(built).as_posix(): path.read_bytes()
        for path in built.rglob("*")
        if path.is_file()
    } == fresh()


def test_pictures_are_small() -> None:
    sizes = {name: len(data) for name, data in fresh().items() if name.endswith(".png")}
    assert max(sizes.values()) < MOST_PICTURE_BYTES
    assert sum(sizes.values()) < MOST_GALLERY_BYTES
