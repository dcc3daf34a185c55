"""Pages by general-purpose ways, to measure ours beside them.

    python tests/bench/plain_pages.py platypus PAGES.json OUT.pdf
    python tests/bench/plain_pages.py typst PAGES.json OUT.pdf
    python tests/bench/plain_pages.py same PAGES.json OUT.pdf

For the first two `PAGES.json` holds what is to be printed, finished: title, plan lines, and for
each part its chart as rows of letters and its steps as lines.  They print it in a straightforward
way: a table a chart, a paragraph a step.  For the third it holds our very pages, see `page_items`,
and typst puts every text and line of ours where it stands.  Planning, proving and laying out are in
none of these times.  typst is a compiled typesetter, an optional library of the benchmark.
"""

from __future__ import annotations

import json
import sys
import tempfile
from pathlib import Path

TYPST = """
#set page(width: 148mm, height: 210mm, margin: 14mm, numbering: "1")
#set text(size: 9.5pt)
#let book(data) = [
  #heading(data.title)
  #table(columns: 3, ..data.plan.map(line => line.map(cell => [#cell])).flatten())
  #for part in data.parts [
    #pagebreak()
    #heading(level: 2, part.title)
    #if part.chart.len() > 0 {
      let wide = part.chart.first().len()
      let cell = calc.min(4.5mm, 120mm / wide)
      set text(size: calc.min(7pt, cell * 0.7))
      table(
        columns: (cell,) * wide, rows: cell, inset: 0pt, align: center + horizon, stroke: 0.3pt,
        ..part.chart.flatten().map(letter => [#letter]))
    }
    #pagebreak()
    #for step in part.steps [#box(square(size: 3mm, stroke: 0.5pt)) #step \\ ]
  ]
]
#for data in json("pages.json") { book(data) }
"""

SAME = """
#let ink(parts) = if parts == none { none } else { rgb(..parts.map(part => part * 100%)) }
#let at(point) = (point.at(0) * 1mm, point.at(1) * 1mm)
#for sheet in json("pages.json") {
  page(width: sheet.width * 1mm, height: sheet.height * 1mm, margin: 0pt, {
    for one in sheet.paths {
      place(top + left, curve(
        stroke: if one.stroke == none { none } else { (paint: ink(one.stroke),
          thickness: one.width * 1pt, cap: one.cap,
          dash: if one.dash.len() == 0 { none } else { one.dash.map(mm => mm * 1mm) }) },
        fill: ink(one.fill),
        ..one.segments.map(segment => {
          let kind = segment.at(0)
          if kind == "m" { curve.move(at(segment.at(1))) }
          else if kind == "l" { curve.line(at(segment.at(1))) }
          else if kind == "c" { curve.cubic(..segment.slice(1).map(at)) }
          else { curve.close() }
        })))
    }
    for one in sheet.texts {
      place(top + left, dx: one.x * 1mm, dy: one.y * 1mm, rotate(one.turn * 90deg,
        origin: top + left, text(one.text, font: one.font, weight: one.weight,
        size: one.size * 1pt, fill: ink(one.ink), tracking: one.spacing * 1mm,
        top-edge: "baseline", ligatures: false)))
    }
  })
}
"""

FONTS = str(Path(__file__).resolve().parents[2] / "fonts")


def by_typst(source: str, pages: Path, out: Path) -> None:
    import typst

    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "pages.json").write_bytes(pages.read_bytes())
        (Path(folder) / "pages.typ").write_text(source, encoding="utf-8")
        typst.compile(
            str(Path(folder) / "pages.typ"),
            output=str(out),
            font_paths=[FONTS],
            ignore_system_fonts=True,
        )


def by_platypus(pages: Path, out: Path) -> None:
    from reportlab.lib.pagesizes import A5
    from reportlab.lib.styles import getSampleStyleSheet
    from reportlab.lib.units import mm
    from reportlab.platypus import PageBreak, Paragraph, SimpleDocTemplate, Table, TableStyle

    styles = getSampleStyleSheet()
    grid = TableStyle([("GRID", (0, 0), (-1, -1), 0.3, "black"), ("FONTSIZE", (0, 0), (-1, -1), 6)])
    tight = ("LEFTPADDING", "RIGHTPADDING", "TOPPADDING", "BOTTOMPADDING")
    for side in tight:
        grid.add(side, (0, 0), (-1, -1), 0)
    story = []
    for data in json.loads(pages.read_text(encoding="utf-8")):
        story.append(Paragraph(data["title"], styles["Title"]))
        story.append(
            Table([[Paragraph(cell, styles["Normal"]) for cell in line] for line in data["plan"]])
        )
        for part in data["parts"]:
            story += [PageBreak(), Paragraph(part["title"], styles["Heading2"])]
            if part["chart"]:
                side = min(4.5, 120 / len(part["chart"][0])) * mm
                story.append(Table(part["chart"], side, side, style=grid))
            story.append(PageBreak())
            story += [Paragraph(f"[ ] {step}", styles["Normal"]) for step in part["steps"]]
    SimpleDocTemplate(str(out), pagesize=A5, margin=14 * mm).build(story)


if __name__ == "__main__":
    way, pages_file, out_file = sys.argv[1], Path(sys.argv[2]), Path(sys.argv[3])
    if way == "platypus":
        by_platypus(pages_file, out_file)
    else:
        by_typst({"typst": TYPST, "same": SAME}[way], pages_file, out_file)
