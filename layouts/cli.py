"""Where the program starts: loads the commands and hands over to them."""

from __future__ import annotations

import gc
import sys
from typing import NoReturn

from layouts.commands.refusal import STOPPED, ExitCode, missing_library


def main() -> NoReturn:
    """Run the command line of this process and leave with its exit code."""
    # Records hold no circles: looking for garbage seldom saves a twentieth of a booklet's time.
    gc.set_threshold(200_000, 50, 50)
    try:
        from layouts.commands.program import program
    except ModuleNotFoundError as error:
        print(missing_library(error), file=sys.stderr)
        sys.exit(ExitCode.USAGE)
    except KeyboardInterrupt:
        print(STOPPED, file=sys.stderr)
        sys.exit(ExitCode.INTERRUPTED)
    program.main()


if __name__ == "__main__":
    main()
