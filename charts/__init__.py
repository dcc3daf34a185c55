"""The geometry core: sections as peg-by-row grids, stitch operations and the virtual loom.

Stages, each a pure function between frozen records::

    pattern file --read_pattern--> SockSpec --make_plan--> Plan --make_rows--> Rows
    Rows --knit_on_loom--> Trace
    Plan, Rows --verify--> Knit --make_chart / make_steps--> Chart, Steps

Nothing here opens a file, reads a clock or knows a millimetre of paper.
"""

__version__ = "0.1.0"
