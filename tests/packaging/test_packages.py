"""What is handed out: wheel and source archive, and what the program asks of the machine."""

from __future__ import annotations

import hashlib
import os
import re
import subprocess
import sys
import sysconfig
import tarfile
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PACKAGES = ("charts", "layouts", "fonts")
BUILD = "import sys, hatchling.build as build; print(getattr(build, sys.argv[1])(sys.argv[2]))"


def build(kind: str, folder: Path, *, source: Path = ROOT, **variables: str) -> Path:
    done = subprocess.run(
        [sys.executable, "-c", BUILD, f"build_{kind}", str(folder)],
        cwd=source,
        env={**os.environ, **variables},
        check=True,
        capture_output=True,
        text=True,
    )
    return folder / done.stdout.split()[-1]


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return build("wheel", tmp_path_factory.mktemp("wheel"))


def package_files() -> set[str]:
    return {
        path.relative_to(ROOT).as_posix()
        for package in PACKAGES
        for path in (ROOT / package).rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }


def test_wheel_holds_the_packages_whole_and_nothing_else(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        names = set(archive.namelist())
    ours = {name for name in names if ".dist-info/" not in name}
    assert ours == package_files()
    licences = {name.rpartition("licenses/")[2] for name in names if "/licenses/" in name}
    assert licences == {"LICENSE", "fonts/OFL.txt"}


def test_source_archive_holds_what_is_needed_to_test_it(tmp_path: Path) -> None:
    with tarfile.open(build("sdist", tmp_path)) as archive:
        names = {name.partition("/")[2] for name in archive.getnames()}
    needed = {"README.md", "DEVELOPERS.md", "CHANGELOG.md", "LICENSE", "pyproject.toml", ".ci/run"}
    assert needed | package_files() <= names
    for folder in ("tests", "samples"):
        tracked = {
            path.relative_to(ROOT).as_posix()
            for path in (ROOT / folder).rglob("*")
            if path.suffix in (".py", ".toml", ".csv")
        }
        assert tracked <= names
    assert not {name for name in names if name.startswith((".git/", ".venv"))}


@pytest.mark.parametrize("kind", ["wheel", "sdist"])
def test_archives_are_the_same_on_each_build(tmp_path: Path, kind: str) -> None:
    digests = set()
    for zone, seed in (("Pacific/Apia", "1"), ("UTC", "2")):
        folder = tmp_path / seed
        folder.mkdir()
        made = build(kind, folder, TZ=zone, PYTHONHASHSEED=seed)
        digests.add(hashlib.sha256(made.read_bytes()).hexdigest())
    assert len(digests) == 1


def test_wheel_out_of_the_source_archive_is_the_same(wheel: Path, tmp_path: Path) -> None:
    with tarfile.open(build("sdist", tmp_path)) as archive:
        archive.extractall(tmp_path, filter="data")
    (source,) = (path for path in tmp_path.iterdir() if path.is_dir())
    again = build("wheel", tmp_path, source=source)
    assert (again.name, again.read_bytes()) == (wheel.name, wheel.read_bytes())


def test_installed_wheel_does_the_readmes_job_and_prints_the_same_bytes(
    wheel: Path, tmp_path: Path
) -> None:
    bare = tmp_path / "bare"
    subprocess.run([sys.executable, "-m", "venv", "--without-pip", str(bare)], check=True)
    scripts = bare / ("Scripts" if os.name == "nt" else "bin")
    pip = [sys.executable, "-m", "pip", "--python", str(scripts / "python"), "install", "-q"]
    subprocess.run([*pip, "--no-deps", "--no-index", str(wheel)], check=True)
    # The libraries are those of the tests; our own packages come from the wheel alone, because a
    # .pth file in a folder named by another one is not read.
    (packages,) = bare.glob("**/site-packages")
    libraries = sorted({sysconfig.get_path("purelib"), sysconfig.get_path("platlib")})
    (packages / "libraries.pth").write_text("\n".join(libraries) + "\n", encoding="utf-8")
    clean = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    where = subprocess.run(
        [scripts / "python", "-c", "import charts; print(charts.__file__)"],
        cwd=tmp_path,
        env=clean,
        check=True,
        capture_output=True,
        text=True,
    ).stdout
    assert str(packages) in where
    sample = ROOT / "samples" / "ember.toml"
    job = ["booklet", str(sample), "--output"]
    subprocess.run([scripts / "pegfolio", *job, "wheel.pdf"], cwd=tmp_path, env=clean, check=True)
    subprocess.run(
        [sys.executable, "-m", "layouts.cli", *job, str(tmp_path / "tree.pdf")],
        cwd=ROOT,
        check=True,
    )
    assert (tmp_path / "wheel.pdf").read_bytes() == (tmp_path / "tree.pdf").read_bytes()


def test_every_font_and_its_licence_is_recorded() -> None:
    record = (ROOT / "fonts" / "SOURCES.md").read_text(encoding="utf-8")
    for font in sorted((ROOT / "fonts").glob("*.ttf")):
        digest = hashlib.sha256(font.read_bytes()).hexdigest()
        (line,) = re.findall(rf"^\| `{re.escape(font.name)}` .*$", record, re.M)
        assert digest in line
        assert "Licen" in line or "MIT" in line


WATCHED = """
import os, sys
ours = os.path.join(os.getcwd(), "")

def watch(event, args):
    if event.startswith("socket.") and event != "socket.gethostname":
        raise SystemExit(f"the network was asked for: {event}")
    if event == "open" and not isinstance(args[0], int) and args[2] & (os.O_WRONLY | os.O_RDWR):
        written.append(os.path.abspath(os.fspath(args[0])))

written = []
sys.addaudithook(watch)
from layouts.commands.program import program
try:
    program.main(sys.argv[1:])
except SystemExit as end:
    outside = [path for path in written if not path.startswith(ours) and path != os.devnull]
    sys.exit(end.code or (f"written outside: {outside}" if outside else 0))
"""


@pytest.mark.parametrize(
    "args",
    [
        ("check", "sock.toml"),
        ("booklet", "sock.toml"),
        ("card", "sock.toml"),
        ("chart", "sock.toml", "--part", "leg", "--output", "leg.png"),
        ("chart", "sock.toml", "--part", "leg", "--output", "leg.svg"),
        ("steps", "sock.toml"),
        ("data", "sock.toml"),
        ("yarn", "sock.toml"),
        ("changes", "sock.toml", "sock.toml"),
    ],
    ids=lambda args: " ".join(args[:1]),
)
def test_program_asks_for_no_network_and_writes_nowhere_else(
    tmp_path: Path, args: tuple[str, ...]
) -> None:
    sample = (ROOT / "samples" / "ember.toml").read_bytes()
    (tmp_path / "sock.toml").write_bytes(sample)
    ended = subprocess.run(
        [sys.executable, "-B", "-c", WATCHED, *args],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert (ended.returncode, ended.stderr) == (0, "")


def test_hook_of_these_tests_sees_the_network(tmp_path: Path) -> None:
    spoilt = WATCHED.replace("from layouts", "import socket; socket.socket()\nfrom layouts")
    ended = subprocess.run(
        [sys.executable, "-c", spoilt, "--version"],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert ended.returncode == 1
    assert "network" in ended.stderr


def test_hook_of_these_tests_sees_a_file_written_elsewhere(tmp_path: Path) -> None:
    (tmp_path / "here").mkdir()
    sample = str(ROOT / "samples" / "ember.toml")
    ended = subprocess.run(
        [sys.executable, "-c", WATCHED, "booklet", sample, "--output", "../elsewhere.pdf"],
        cwd=tmp_path / "here",
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert ended.returncode == 1
    assert "written outside" in ended.stderr


QUIET = """
import importlib, pkgutil, sys
import charts
opened = []
sys.addaudithook(lambda event, args: opened.append(str(args[0])) if event == "open" else None)
for module in pkgutil.iter_modules(charts.__path__):
    importlib.import_module(f"charts.{module.name}")
strange = [name for name in opened if not name.endswith((".py", ".pyc", ".so"))]
sys.exit(f"opened: {strange}" if strange else 0)
"""


def test_core_opens_nothing_when_it_is_imported() -> None:
    ended = subprocess.run(
        [sys.executable, "-B", "-c", QUIET], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert (ended.returncode, ended.stderr) == (0, "")
