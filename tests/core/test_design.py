"""How the core is built: what it imports, what it may not do, and that its records stay as made."""

from __future__ import annotations

import ast
import dataclasses
import importlib
import pkgutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import FrozenInstanceError, replace
from enum import Enum
from pathlib import Path
from types import ModuleType

import pytest

import charts
from charts.rows import Rows
from charts.spec import Cuff, Leftover
from charts.stitches import STITCHES, Effect
from charts.verify import CHECKS, Knit
from charts.virtual_loom import Rule

from .socks import proved, sock

ROOT = Path(charts.__file__).parent
SOURCES = sorted(ROOT.glob("*.py"))
each_source = pytest.mark.parametrize("path", SOURCES, ids=lambda path: path.stem)

WORLD = {
    "asyncio",
    "glob",
    "io",
    "locale",
    "multiprocessing",
    "os",
    "pathlib",
    "random",
    "secrets",
    "shutil",
    "socket",
    "subprocess",
    "sys",
    "tempfile",
    "threading",
    "time",
    "urllib",
    "uuid",
}
"""Modules through which a stage could see the machine, the clock or chance."""


def imports(path: Path) -> Iterator[tuple[str, str]]:
    """Each imported module with the name taken from it, if any."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from ((alias.name, "") for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield from ((node.module or "", alias.name) for alias in node.names)


def modules() -> list[ModuleType]:
    names = [info.name for info in pkgutil.iter_modules([str(ROOT)])]
    return [importlib.import_module(f"charts.{name}") for name in sorted(names)]


def records() -> list[type]:
    """Every dataclass that the core defines."""
    found = {
        each
        for module in modules()
        for each in vars(module).values()
        if isinstance(each, type) and dataclasses.is_dataclass(each)
    }
    return sorted(found, key=lambda each: (each.__module__, each.__name__))


@each_source
def test_core_imports_itself_and_the_standard_library_only(path: Path) -> None:
    for module, _ in imports(path):
        top = module.partition(".")[0]
        assert top == "charts" or top in sys.stdlib_module_names, module


@each_source
def test_core_sees_neither_machine_nor_clock_nor_chance(path: Path) -> None:
    assert not {module.partition(".")[0] for module, _ in imports(path)} & WORLD
    named = {
        node.attr
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Attribute)
    }
    assert not named & {"today", "now", "utcnow", "fromtimestamp"}
    calls = {
        node.func.id
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
    }
    assert not calls & {"open", "print", "input", "exec", "eval", "hash", "id", "__import__"}


def test_importing_the_core_opens_nothing_but_its_own_code() -> None:
    """An audit hook sees every file, process and connection that the import asks for."""
    script = f"""
import importlib, sys
opened = []
def hook(event, arguments):
    if event == "open" and not str(arguments[0]).endswith((".py", ".pyc", ".so")):
        opened.append((event, str(arguments[0])))
    elif event.startswith(("socket.", "subprocess.", "os.system", "os.exec", "shutil.", "urllib.")):
        opened.append((event, ""))
sys.addaudithook(hook)
for name in {[module.__name__ for module in modules()]!r}:
    importlib.import_module(name)
print(opened)
"""
    done = subprocess.run(
        [sys.executable, "-B", "-c", script],
        cwd=ROOT.parent,
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout == "[]\n"
    assert done.stderr == ""


def test_second_tiling_shares_no_function_with_the_makers() -> None:
    taken = {name for module, name in imports(ROOT / "expected.py") if module.startswith("charts.")}
    makers = {"plan", "stitches", "cuff", "leg", "heel", "foot", "toe", "closing", "sock"}
    from_makers = {
        (module, name)
        for module, name in imports(ROOT / "expected.py")
        if module.removeprefix("charts.") in makers
    }
    assert from_makers == {("charts.plan", "Plan")}
    assert "make_rows" not in taken


def test_makers_do_not_know_the_proof() -> None:
    for name in ("plan", "cuff", "leg", "heel", "foot", "toe", "closing", "sock"):
        taken = {module for module, _ in imports(ROOT / f"{name}.py")}
        assert not taken & {"charts.expected", "charts.verify", "charts.virtual_loom"}


def test_loom_knows_nothing_of_socks() -> None:
    taken = {module for module, _ in imports(ROOT / "virtual_loom.py")}
    own = {module for module in taken if module.startswith("charts")}
    assert own == {"charts.loom", "charts.rows", "charts.stitches"}


# A proof cannot be forged by accident.


def test_knit_is_made_by_verify_only() -> None:
    knit = proved(sock(24))
    for seal in (None, object(), True, "proved"):
        with pytest.raises(TypeError, match="made by verify"):
            Knit(knit.plan, knit.rows, knit.trace, seal)
    with pytest.raises(TypeError):
        Knit(knit.plan, knit.rows, knit.trace)  # type: ignore[call-arg]


@pytest.mark.parametrize("field", ["plan", "rows", "trace"])
def test_a_proof_cannot_be_moved_to_another_sock(field: str) -> None:
    knit, other = proved(sock(24)), proved(sock(40, "3/8 in"))
    with pytest.raises(TypeError):
        replace(knit, **{field: getattr(other, field)})


@pytest.mark.parametrize("name", ["make_chart", "make_steps", "make_part_steps"])
def test_charts_and_steps_take_a_proved_sock(name: str) -> None:
    module = importlib.import_module("charts.chart" if name == "make_chart" else "charts.steps")
    assert getattr(module, name).__annotations__["knit"] == "Knit"


# Records stay as they were made.


def test_every_record_is_frozen() -> None:
    assert len(records()) > 30
    loose = [
        f"{each.__module__}.{each.__name__}"
        for each in records()
        if not each.__dataclass_params__.frozen  # type: ignore[attr-defined]
    ]
    assert loose == []


def test_a_proved_sock_cannot_be_changed() -> None:
    knit = proved(sock(24))
    with pytest.raises(FrozenInstanceError):
        knit.rows = Rows(knit.plan.loom, ())  # type: ignore[misc]
    with pytest.raises(FrozenInstanceError):
        knit.plan.heel_pegs = 16  # type: ignore[misc]
    with pytest.raises(TypeError):
        knit.rows.events[0] = knit.rows.events[1]  # type: ignore[index]


def test_proof_says_the_same_each_time() -> None:
    spec = sock(25, "3/8 in", cuff=Cuff(2, leftover=Leftover.KNIT))
    first, second = proved(spec), proved(spec)
    assert first == second
    assert first.trace == second.trace


# Nothing in a table is idle.


def used_members(enum: type[Enum]) -> set[str]:
    """The members of an enumeration that the core names outside the enumeration itself."""
    return {
        node.attr
        for path in SOURCES
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Attribute)
        and isinstance(node.value, ast.Name)
        and node.value.id == enum.__name__
    }


def test_every_rule_is_used() -> None:
    assert used_members(Rule) == set(Rule.__members__)


def test_every_rule_says_something_of_its_own() -> None:
    assert len({rule.value for rule in Rule}) == len(Rule)
    assert len({rule for _, rule in CHECKS}) == len(CHECKS)


def test_every_effect_belongs_to_a_stitch() -> None:
    assert {stitch.effect for stitch in STITCHES.values()} == set(Effect)


def test_letters_of_the_table_are_single_and_their_own() -> None:
    assert all(len(letter) == 1 == len(stitch.letter) for letter, stitch in STITCHES.items())
    assert all(letter == stitch.letter for letter, stitch in STITCHES.items())
    assert len({stitch.name for stitch in STITCHES.values()}) == len(STITCHES)
