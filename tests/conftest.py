"""One outcome for one state of the code: generated examples are the same on each run.

`PEGFOLIO_SEARCH=1 python -m pytest` looks for new ones.
"""

from __future__ import annotations

import os

from hypothesis import settings

settings.register_profile("same", derandomize=True)
settings.register_profile("search")
settings.load_profile("search" if os.environ.get("PEGFOLIO_SEARCH") else "same")
