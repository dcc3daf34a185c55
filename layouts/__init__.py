"""Drawing and page composition: finished pages as data, and one writer a file format.

    Plan, Chart, Steps --compose--> Document of Pages --write_pdf / write_svg / write_png--> bytes

`scene` holds the pages, `faces` and `text` measure and set type, `symbols` draws the stitches,
`paper` knows the sizes.  The writers know formats and nothing of socks.
"""
