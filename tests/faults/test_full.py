"""Too little room: one line says so and old files stay; and the campaign would notice if not."""

from __future__ import annotations

import os
import subprocess
from collections import Counter
from pathlib import Path

import pytest

from tests.faults import full
from tests.faults.products import PRODUCTS, Product

SOME = {name: PRODUCTS[name] for name in ("booklet", "class")}


def test_files_that_may_not_grow_to_their_size_leave_what_was_there(tmp_path: Path) -> None:
    found = full.limited(tmp_path, 8, products=SOME)
    assert found == Counter({(name, full.REFUSED): 3 for name in SOME}) + Counter(
        {(name, full.WHOLE): 1 for name in SOME}
    )


def test_disk_that_fills_up_leaves_what_was_there(tmp_path: Path) -> None:
    if os.geteuid() != 0:
        pytest.skip("only root may mount a disk")
    try:
        with full.small_disk(tmp_path):
            found = full.crowded(tmp_path, 8, products=SOME)
    except subprocess.CalledProcessError:
        pytest.skip("no disk may be mounted here")
    assert {what for _, what in found} <= {full.WHOLE, full.REFUSED}
    assert sum(count for (_, what), count in found.items() if what == full.REFUSED) >= 4


WRITER = """
import sys
from pathlib import Path
from layouts.output import OutputError, write_file
path, data = Path("a.pdf"), b"new" * 4_000
try:
    {write}
except (OSError, OutputError) as error:
    {end}
"""
WRITE = "write_file(path, data)"
BESIDE = "Path('.pegfolio-1-0.part').write_bytes(data); Path('.pegfolio-1-0.part').rename(path)"
END = "print('a.pdf: cannot be written: file too large', file=sys.stderr); sys.exit(2)"


def test_campaign_has_nothing_to_say_of_a_run_that_ends_well(tmp_path: Path) -> None:
    product = Product(("-c", WRITER.format(write=WRITE, end=END)))
    found = full.limited(tmp_path, 6, products={"it": product})
    assert {what for _, what in found} == {full.WHOLE, full.REFUSED}


@pytest.mark.parametrize(
    ("write", "end", "noticed"),
    [
        ("path.write_bytes(data)", END, "half a file"),
        (BESIDE, END, "a file left beside"),
        (f"path.unlink(missing_ok=True); {WRITE}", END, "an old file is gone"),
        (WRITE, "pass", "success told without success"),
        (WRITE, END.replace("2", "1"), "ended with 1: a.pdf: cannot be written: file too large\n"),
        (WRITE, "sys.exit(2)", "ended with 2: "),
        (WRITE, f"print('!', file=sys.stderr); {END}", "more than was to be told"),
        (WRITE, END.replace("a.pdf", "b.pdf"), "another file is named"),
    ],
)
def test_campaign_notices_a_run_that_ends_as_it_must_not(
    tmp_path: Path, write: str, end: str, noticed: str
) -> None:
    product = Product(("-c", WRITER.format(write=write, end=end)))
    found = full.limited(tmp_path, 6, products={"it": product})
    assert noticed in {what for _, what in found}
