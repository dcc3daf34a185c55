"""`sizes`, `loom`, `yarn`, `template` and `--size`: what they say, and how they end."""

from __future__ import annotations

import csv
import io
import json
import math
import re
import shutil
from pathlib import Path

import pdfplumber
import pypdfium2
import pytest
from pypdf import PdfReader

from charts.sizes import knit_sizes
from cli.running import PATTERN, ROOT, run, start

SAMPLES = ROOT / "samples"
NAMES = ["Child", "Youth", "Small", "Medium", "Large"]


@pytest.fixture
def bridge(folder: Path) -> Path:
    """bridge.toml, the sample with five sizes, in the working folder."""
    path = folder / "bridge.toml"
    shutil.copy(SAMPLES / "three-looms.toml", path)
    return path


@pytest.fixture
def one_bad(bridge: Path) -> Path:
    """The same with a size that cannot be planned: its toe would sit half a peg off centre."""
    text = bridge.read_text(encoding="utf-8")
    bad = '[[size]]\nname = "Odd"\nloom = { pegs = 32 }\nheel = { pegs = 21 }\n\n'
    bridge.write_text(text.replace("# The top line", bad + "# The top line"), encoding="utf-8")
    return bridge


def bad_line(path: Path) -> int:
    return path.read_text(encoding="utf-8").splitlines().index("heel = { pegs = 21 }") + 1


# sizes


def test_table_on_the_terminal_has_a_line_a_size_smallest_first(bridge: Path) -> None:
    ended = run("sizes", bridge.name)
    assert (ended.exit_code, ended.stderr) == (0, "")
    lines = ended.stdout.splitlines()
    assert lines[0] == "bridge.toml: Footbridge sock"
    assert [line.split()[0] for line in lines[3:8]] == NAMES
    # 32 pegs at 15 1/6 stitches in 10 cm
    small = next(line for line in lines if line.startswith("Small"))
    assert "32 pegs, 3/8 in" in small
    assert "21.1 cm (8.3 in)" in small
    assert "8/16/21" in small
    assert "15 % in hand" in ended.stdout
    assert re.search(r"Fits \d+ % of women and \d+ % of men in length and ball", lines[-1])
    assert "US Army personnel, 2012; not the whole public" in lines[-1]


def test_both_units_are_printed_the_patterns_own_first(bridge: Path) -> None:
    text = bridge.read_text(encoding="utf-8")
    bridge.write_text('units = "in"\n' + text, encoding="utf-8")
    assert "8.3 in (21.1 cm)" in run("sizes", bridge.name).stdout


def test_csv_read_back_is_the_record_to_the_tenth_of_a_millimetre(bridge: Path) -> None:
    ended = run("sizes", bridge.name, "--output", "bridge.csv")
    assert (ended.exit_code, ended.stdout, ended.stderr) == (0, "bridge.csv: written\n", "")
    data = bridge.with_name("bridge.csv").read_bytes()
    assert data.count(b"\r\n") == 6 == data.count(b"\n")
    rows = list(csv.DictReader(io.StringIO(data.decode(), newline="")))
    assert [row["size"] for row in rows] == NAMES
    made = knit_sizes(bridge.read_text(encoding="utf-8")).sizes
    for row, size in zip(rows, made, strict=True):
        measures = size.fitted.measures
        assert measures is not None
        assert float(row["sock round cm"]) * 10 == pytest.approx(measures.round.mm, abs=0.051)
        assert float(row["sock round in"]) * 25.4 == pytest.approx(measures.round.mm, abs=0.13)
        assert float(row["sock foot cm"]) * 10 == pytest.approx(measures.length.mm, abs=0.051)
        assert int(row["foot rows"]) == size.knit.plan.spec.foot.rows
        assert row["fit"] == "fits"
        assert int(row["balls a pair"]) >= 2
    assert rows[0]["shoe sizes"].startswith("EU 31; child UK 13; child US 13.5")


def test_table_as_pdf_is_of_the_paper_asked_for_and_names_every_size(bridge: Path) -> None:
    ended = run("sizes", bridge.name, "--output", "a.pdf", "--paper", "letter")
    assert (ended.exit_code, ended.stderr) == (0, "")
    pdf = PdfReader(bridge.with_name("a.pdf"))
    assert f"({len(pdf.pages)} page" in ended.stdout
    box = pdf.pages[0].mediabox
    assert sorted((float(box.width), float(box.height))) == [612, 792]
    text = "".join(page.extract_text() for page in pdf.pages)
    assert all(name in text for name in NAMES)


def test_paper_too_small_for_the_table_is_refused(bridge: Path) -> None:
    ended = run("sizes", bridge.name, "--output", "a.pdf", "--paper", "50 x 50 mm")
    assert (ended.exit_code, ended.stdout) == (2, "")
    assert ended.stderr.startswith("--paper: ")
    assert not bridge.with_name("a.pdf").exists()


def test_names_never_start_a_formula_in_the_csv(folder: Path) -> None:
    text = PATTERN + '[[size]]\nname = "=1+1"\n[[size]]\nname = "-2"\n[[size]]\nname = "@x"\n'
    (folder / "a.toml").write_text(text, encoding="utf-8")
    assert run("sizes", "a.toml", "--output", "a.csv").exit_code == 0
    rows = list(csv.reader(io.StringIO((folder / "a.csv").read_text(encoding="utf-8"))))
    assert sorted(row[0] for row in rows[1:]) == ["'-2", "'=1+1", "'@x"]


def test_pattern_without_sizes_wearer_and_gauge_has_a_table_too(pattern: Path) -> None:
    ended = run("sizes", pattern.name)
    assert (ended.exit_code, ended.stderr) == (0, "")
    assert "40 pegs, 3/8 in" in ended.stdout
    assert "no gauge or no wearer" in ended.stdout


@pytest.mark.parametrize(
    ("output", "said"),
    [
        ("a.txt", "a.txt: cannot write '.txt'; allowed: .csv or .pdf; try: a.csv\n"),
        ("bridge.toml", "bridge.toml: this is the name of a pattern; .*\n"),
        ("no/a.csv", "no/a.csv: cannot be written: there is no folder no; .*\n"),
    ],
)
def test_table_that_cannot_be_written_is_refused(bridge: Path, output: str, said: str) -> None:
    ended = run("sizes", bridge.name, "--output", output)
    assert (ended.exit_code, ended.stdout) == (2, "")
    assert re.fullmatch(said, ended.stderr)


# A bad size.

EVERY_SIZE = (("check",), ("sizes",), ("data",), ("steps",), ("sizes", "--output", "a.csv"))


@pytest.mark.parametrize("args", EVERY_SIZE)
def test_bad_size_is_named_on_standard_error_and_ends_with_1(
    one_bad: Path, args: tuple[str, ...]
) -> None:
    ended = run(args[0], one_bad.name, *args[1:])
    assert ended.exit_code == 1
    assert ended.stderr.startswith(
        f'bridge.toml:{bad_line(one_bad)}: size "Odd": heel.pegs: 21 heel pegs and 16 toe pegs'
    )
    assert len(ended.stderr.splitlines()) == 1
    written = ended.stdout
    if "--output" in args:
        assert written == "a.csv: written (5 of 6 sizes)\n"
        written = one_bad.with_name("a.csv").read_text(encoding="utf-8")
    assert all(name in written for name in NAMES)
    assert "Odd" not in written


@pytest.mark.parametrize("args", EVERY_SIZE)
def test_nothing_is_written_if_every_size_is_bad(folder: Path, args: tuple[str, ...]) -> None:
    text = PATTERN.replace("pegs = 40", "pegs = 41")
    text += '[[size]]\nname = "S"\n[[size]]\nname = "L"\n'
    (folder / "a.toml").write_text(text, encoding="utf-8")
    ended = run(args[0], "a.toml", *args[1:])
    assert (ended.exit_code, ended.stdout) == (1, "")
    # told once, since every size has them
    places = [line.split(": ")[:2] for line in ended.stderr.splitlines()]
    assert places == [
        ["a.toml:8", "cuff.rib"],
        ["a.toml:13", "leg.panel"],
        ["a.toml:14", "leg.flanks"],
    ]
    assert [path.name for path in folder.iterdir()] == ["a.toml"]


def test_good_size_is_printed_alone_beside_a_bad_one(one_bad: Path) -> None:
    ended = run("steps", one_bad.name, "--size", "Small")
    assert (ended.exit_code, ended.stderr) == (0, "")
    ended = run("steps", one_bad.name, "--size", "odd")
    assert (ended.exit_code, ended.stdout) == (1, "")
    assert 'size "Odd"' in ended.stderr


# --size

OF_ONE_SIZE = (
    ("check",),
    ("steps",),
    ("data",),
    ("yarn",),
    ("card", "--part", "turn"),
    ("chart", "--part", "leg"),
    ("booklet",),
)


@pytest.mark.parametrize("args", OF_ONE_SIZE)
def test_size_is_asked_for_in_any_case(bridge: Path, args: tuple[str, ...]) -> None:
    ended = run(args[0], bridge.name, *args[1:], "--size", "mEDium")
    assert (ended.exit_code, ended.stderr) == (0, "")
    if args[0] == "data":
        assert json.loads(ended.stdout)["loom"]["pegs"] == 32
    if args[0] in ("booklet", "card", "chart"):
        assert "bridge-medium-" in ended.stdout
        assert bridge.with_name(ended.stdout.split(":")[0]).exists()


@pytest.mark.parametrize("args", OF_ONE_SIZE)
def test_size_there_is_not_is_refused_with_those_there_are(
    bridge: Path, args: tuple[str, ...]
) -> None:
    ended = run(args[0], bridge.name, *args[1:], "--size", "Smal")
    assert (ended.exit_code, ended.stdout) == (2, "")
    assert ended.stderr == (
        "--size: bridge.toml has no size 'Smal'; allowed: Child, Youth, Small, Medium or Large; "
        "try: Small\n"
    )


@pytest.mark.parametrize("args", OF_ONE_SIZE)
def test_size_of_a_pattern_without_sizes_is_refused(pattern: Path, args: tuple[str, ...]) -> None:
    ended = run(args[0], pattern.name, *args[1:], "--size", "S")
    assert (ended.exit_code, ended.stdout) == (2, "")
    assert ended.stderr == "--size: harbour.toml has no sizes; try: leave --size out\n"


def test_steps_of_all_sizes_come_in_brackets(bridge: Path) -> None:
    ended = run("steps", bridge.name)
    assert (ended.exit_code, ended.stderr) == (0, "")
    lines = ended.stdout.split("\n")
    assert lines[1] == "Sizes: Child (Youth, Small, Medium, Large)"
    assert lines[2].startswith("Loom: 28 (28, 32, 32, 36) pegs, 3/8 in apart;")
    assert "[ ] Row 1  →  pegs 1–18 (1–18, 2–21, 2–21, 1–22) knit." in lines
    assert [lines[at + 2] for at, line in enumerate(lines) if line == "Leg"] == [
        "Sizes: Child (Youth)",
        "Sizes: Small (Medium)",
        "Sizes: Large",
    ]


@pytest.mark.parametrize("command", ["steps", "chart", "card"])
def test_good_sizes_are_printed_and_bad_ones_told(one_bad: Path, command: str) -> None:
    part = () if command == "steps" else ("--part", "toe", "--output", "toe.pdf")
    ended = run(command, one_bad.name, *part)
    assert ended.exit_code == 1
    assert 'size "Odd"' in ended.stderr
    assert "Small" in ended.stdout if command == "steps" else Path("toe.pdf").exists()


def test_chart_of_a_sized_pattern_has_a_page_for_each_ring(bridge: Path) -> None:
    """28 pegs for two sizes, 32 for two, 36 for one."""
    ended = run("chart", bridge.name, "--part", "turn")
    assert (ended.exit_code, ended.stderr) == (0, "")
    assert ended.stdout == "bridge-turn-chart.pdf: written (3 pages)\n"
    pages = [page.extract_text() for page in PdfReader("bridge-turn-chart.pdf").pages]
    for page, names in zip(
        pages,
        ("28 pegs, 3/8 in apart · sizes Child (Youth)", "· sizes Small (Medium)", "· size Large"),
        strict=True,
    ):
        assert names in page


def test_picture_of_charts_that_differ_asks_for_a_size(bridge: Path) -> None:
    ended = run("chart", bridge.name, "--part", "turn", "--output", "turn.svg")
    assert (ended.exit_code, ended.stdout) == (2, "")
    assert ended.stderr == (
        "--size: the sizes have 3 charts of this part, and a .svg has one; allowed: Child, Youth, "
        "Small, Medium or Large; try: --size 'Child', or write a .pdf\n"
    )
    assert not Path("turn.svg").exists()


def test_one_chart_for_all_sizes_is_one_picture(bridge: Path) -> None:
    text = bridge.read_text(encoding="utf-8")
    for pegs in (28, 36):
        text = text.replace(f"pegs = {pegs}", "pegs = 32")
    bridge.write_text(text, encoding="utf-8")
    assert run("chart", bridge.name, "--part", "toe", "--output", "toe.svg").exit_code == 0
    assert "sizes" not in Path("toe.svg").read_text(encoding="utf-8")


def test_cards_of_sizes_that_differ_name_them(bridge: Path) -> None:
    """The turn is the same for both sizes of a ring, the leg has other rows for each."""
    for part, names in (
        ("turn", ["Child (Youth)", "Small (Medium)", "Large"]),
        ("leg", ["Child", "Youth", "Small", "Medium", "Large"]),
    ):
        run("card", bridge.name, "--part", part)
        pages = [page.extract_text() for page in PdfReader(f"bridge-{part}-card.pdf").pages]
        heads = [page for page in pages if "Footbridge sock, " in page]
        told = [re.search(r"Footbridge sock, (.+?) · ", page) for page in heads]
        assert list(dict.fromkeys(one[1] for one in told if one)) == names


@pytest.mark.parametrize("word", ["small", " SMALL "])
def test_a_size_is_marked_however_its_name_is_spelt(bridge: Path, word: str) -> None:
    for mark, name in (("Small", "a.pdf"), (word, "b.pdf")):
        assert run("booklet", bridge.name, "--mark", mark, "--output", name).exit_code == 0
    assert bridge.with_name("a.pdf").read_bytes() == bridge.with_name("b.pdf").read_bytes()


def test_a_size_that_cannot_be_marked_is_refused_with_the_nearest(bridge: Path) -> None:
    ended = run("booklet", bridge.name, "--mark", "Smal", "--output", "a.pdf")
    assert ended.exit_code == 2
    assert "--mark: no size 'Smal' can be made; allowed: " in ended.stderr
    assert ended.stderr.endswith("; try: Small\n")
    assert not bridge.with_name("a.pdf").exists()


def test_word_size_in_a_remark_makes_no_sizes(pattern: Path) -> None:
    pattern.write_text("# my size\n" + PATTERN, encoding="utf-8")
    ended = run("check", pattern.name)
    assert (ended.exit_code, ended.stderr) == (0, "")
    assert ended.stdout.splitlines()[0] == "harbour.toml: Harbour steps"


def test_sized_pattern_from_standard_input_is_read_once(bridge: Path) -> None:
    ended = start("sizes", "-", stdin=bridge.read_bytes())
    assert (ended.code, ended.stderr) == (0, "")
    assert b"Large" in ended.stdout


def test_check_tells_every_size_with_its_stitches(bridge: Path) -> None:
    ended = run("check", bridge.name)
    assert (ended.exit_code, ended.stderr) == (0, "")
    made = knit_sizes(bridge.read_text(encoding="utf-8")).sizes
    for size in made:
        assert f"{sum(size.knit.counts.values()):,}" in ended.stdout
    assert "5 of 5 sizes: every row knits, on both socks" in ended.stdout


def test_check_tells_fit_finished_sock_and_yarn_in_short(bridge: Path) -> None:
    lines = run("check", bridge.name, "--size", "Small").stdout.splitlines()
    assert lines[0] == "bridge.toml: Footbridge sock, size Small"
    assert any(line.startswith("fit: fits: 21.1 cm round") for line in lines)
    assert any(line.startswith("finished: 21.1 cm (8.3 in) round, ") for line in lines)
    assert any(re.match(r"yarn: \d+ m \(\d+ yd\), \d+ g, 3 balls for the pair", ln) for ln in lines)


def test_warnings_of_a_size_name_it(bridge: Path) -> None:
    text = bridge.read_text(encoding="utf-8")
    bridge.write_text(text.replace('ball = "26 cm"', 'ball = "30 cm"'), encoding="utf-8")
    assert "\nLarge: warning: The sock is too tight" in run("sizes", bridge.name).stdout
    ended = run("data", bridge.name)
    assert "bridge.toml: size Large: warning: The sock is too tight" in ended.stderr
    assert ended.exit_code == 0


def test_size_named_in_letters_that_the_fonts_lack_is_refused(folder: Path) -> None:
    (folder / "a.toml").write_text(PATTERN + '[[size]]\nname = "大"\n', encoding="utf-8")
    ended = run("check", "a.toml")
    assert ended.exit_code == 1
    assert ended.stderr.startswith("a.toml: size.name: the fonts we print with have no '大'")


# loom

LOOMS = str(SAMPLES / "looms.toml")


def test_loom_says_which_of_mine_fits_on_one_screen() -> None:
    ended = run("loom", "--foot", "23.5 cm", "--looms", LOOMS)
    assert (ended.exit_code, ended.stderr) == (0, "")
    lines = ended.stdout.splitlines()
    assert len(lines) <= 24
    answer = " ".join(" ".join(lines[: lines.index("")]).split())
    assert re.match(
        r"Take small red ring \(28 pegs, 3/8 in\): fits: .* round \(± .*\), .*; \d+ foot rows "
        r"the gauge is guessed from the spacing: knit a swatch",
        answer,
    )
    others = lines[lines.index("the others:") + 2 :]
    assert len(others) == 4
    assert all(re.search(r"\d+\.\d to \d+\.\d, best \d+\.\d", line) for line in others)


def test_loom_asks_for_the_knit_and_the_ease_that_are_meant() -> None:
    """A guessed stitch is 0.72 of 9.525 mm in flat knit, 0.82 in e-wrap: 32 pegs of it round.

    Ball 24 cm, 5 % smaller: 22.8 cm.
    """
    args = ("loom", "--foot", "24 cm", "--ball", "24 cm", "--loom", "32 x 3/8 in")
    for knit, round_cm in (("flat", "21.9"), ("e-wrap", "25.0")):
        out = run(*args, "--knit", knit, "--ease", "5 %").stdout
        assert f"{round_cm} cm round" in out
        assert re.search(r"sock round +22\.8 cm .* 5 % less, as given", out)
    assert "21.6 cm" in run(*args).stdout, "10 % less where nothing else is asked for"
    shorter = run(*args, "--ease-length", "10 %").stdout
    rows = [int(re.search(r"(\d+) foot\s+rows", out)[1]) for out in (run(*args).stdout, shorter)]  # type: ignore[index]
    assert rows[1] < rows[0]


def test_gauge_counts_only_for_looms_of_its_spacing() -> None:
    args = ("loom", "--foot", "23.5 cm", "--looms", LOOMS, "--gauge", "15 x 20")
    ended = run(*args)
    assert (ended.exit_code, ended.stdout) == (2, "")
    assert ended.stderr.startswith("--gauge: a gauge belongs to a spacing")
    ended = run(*args, "--spacing", "3/8 in")
    assert "guessed" in ended.stdout
    # 32 pegs at 15 stitches in 10 cm
    assert "21.3 cm" in ended.stdout
    inches = run("loom", "--foot", "23.5 cm", "--loom", "32 x 3/8 in", "--gauge", "15 x 20 in 4 in")
    assert "21.7 cm" in inches.stdout


def test_no_loom_that_fits_is_said_and_is_no_failure(folder: Path) -> None:
    text = '[[loom]]\nname = "huge"\npegs = 120\nspacing = "5/8 in"\n'
    (folder / "looms.toml").write_text(text, encoding="utf-8")
    ended = run("loom", "--foot", "23.5 cm", "--looms", "looms.toml")
    assert ended.exit_code == 0
    assert "None of these looms fits as it is" in ended.stdout
    assert "hardly to be had on these pegs" in ended.stdout


def test_loom_tells_the_range_of_feet_it_fits() -> None:
    ended = run("loom", "--loom", "40 x 3/8 in", "--gauge", "18 x 24")
    assert (ended.exit_code, ended.stderr) == (0, "")
    # 222 mm round: 80 % to all of the foot
    assert "feet round the ball" in ended.stdout
    assert "22.2 cm (8.7 in) to 27.8 cm (10.9 in)" in ended.stdout
    assert re.search(r"\d+ women in 100, \d+ men in 100", ended.stdout)


def test_loom_tells_how_a_foot_fits_one_loom_and_what_would() -> None:
    ended = run("loom", "--shoe", "EU 38", "--loom", "56 x 1/4 in", "--units", "in")
    assert ended.exit_code == 0
    assert "too loose" in ended.stdout
    assert "nearest that works: a loom of" in ended.stdout
    assert "a guess from EU 38" in ended.stdout
    assert re.search(r"foot +9\.4 in  ", ended.stdout)


@pytest.mark.parametrize(
    ("word", "foot"), [("cm", "23.5 cm  "), ("in", "9.3 in  "), ("both", "23.5 cm (9.3 in)")]
)
def test_units_of_a_loom_are_told_alone_as_those_of_a_booklet(word: str, foot: str) -> None:
    ended = run("loom", "--foot", "23.5 cm", "--loom", "40 x 3/8 in", "--units", word)
    assert ended.exit_code == 0
    assert re.search(rf"foot +{re.escape(foot)}", ended.stdout)
    other = {"cm": r"\d in\b", "in": r"\d [cm]m\b"}.get(word)
    # Spacings stay as written, and counts are those that --gauge takes: in 10 cm.
    lines = [re.sub(r"3/8 in|in 10 cm", "", line) for line in ended.stdout.splitlines()]
    assert not other or not [line for line in lines if re.search(other, line)]


def test_yarn_is_rounded_up_alike_on_terminal_sheet_and_pack(folder: Path) -> None:
    """The fewest metres that are enough, wherever they are told."""
    text = (ROOT / "samples" / "three-looms.toml").read_text(encoding="utf-8")
    (folder / "three.toml").write_text(text, encoding="utf-8")
    (folder / "r.csv").write_text("who,size\nStudent A,Medium\n", encoding="utf-8")
    run("sizes", "three.toml", "--output", "s.csv")
    rows = list(csv.DictReader((folder / "s.csv").read_text(encoding="utf-8").splitlines()))
    exact = float(next(row for row in rows if row["size"] == "Medium")["yarn a pair m"])
    due = math.ceil(exact)
    assert due - exact > 0.5, "nearest and up must differ for this to tell them apart"
    assert f"{due} m" in run("sizes", "three.toml").stdout
    run("sizes", "three.toml", "--output", "s.pdf")
    run("class", "three.toml", "r.csv")
    for file in ("s.pdf", "r-packs/student-a.pdf"):
        with pdfplumber.open(folder / file) as pdf:
            words = " ".join(page.extract_text() for page in pdf.pages)
        assert re.search(rf"\b{due}\b", words), file


@pytest.mark.parametrize(
    ("args", "told"),
    [
        ((), "--spacing: a loom has its own spacing; this one is for the gauge of a swatch; try: "),
        (
            ("--gauge", "20 x 28"),
            "--spacing: a gauge from pegs 1/4 in apart tells nothing of pegs 3/8 in apart; try: ",
        ),
    ],
)
def test_a_spacing_that_says_nothing_of_the_loom_is_refused(
    args: tuple[str, ...], told: str
) -> None:
    ended = run("loom", "--loom", "40 x 3/8 in", "--spacing", "1/4 in", *args)
    assert (ended.exit_code, ended.stdout) == (2, "")
    assert ended.stderr.startswith(told)
    same = ("loom", "--loom", "40 x 3/8 in", "--gauge", "15 x 20")
    assert run(*same, "--spacing", "9.5 mm").stdout == run(*same).stdout


def test_loom_without_a_loom_tells_the_peg_counts_of_each_spacing() -> None:
    ended = run("loom", "--foot", "24 cm")
    for spacing in ("1/4 in", "3/8 in", "1/2 in", "5/8 in"):
        assert re.search(rf"^{spacing}: \d+ to \d+ pegs, best \d+$", ended.stdout, re.MULTILINE)


@pytest.mark.parametrize(
    ("args", "said"),
    [
        ([], r"pegfolio loom: there is neither a foot nor a loom to tell of; try: .*"),
        (["--foot", "23.5"], r'--foot: "23.5": a length needs a unit; .*; try: "23.5 cm"'),
        (["--foot", "9 mm"], r'--foot: "9 mm" is 9 mm, too small for .*; try: "9 cm"'),
        (["--shoe", "38"], r'--shoe: "38": a shoe size needs its system; .*; try: "EU 38"'),
        (["--class", "cat"], r"--class: \"cat\": 'cat' is no class of feet; .*"),
        (
            ["--foot", "24 cm", "--ball", "60 cm"],
            r"--ball: 600 mm does not go with a length of 240 mm; allowed: .*",
        ),
        (["--ball", "24 cm"], r"--foot: a foot needs a length, a shoe size or a class"),
        (
            ["--foot", "24 cm", "--heel-round", "60 cm", "--ball", "24 cm"],
            r"--heel-round: 600 mm does not go with .*",
        ),
        (["--foot", "24 cm", "--gauge", "15"], r"--gauge: '15' is no gauge; allowed: .*"),
        (["--foot", "24 cm", "--gauge", "0 x 20"], r"--gauge: 0.0 is too small; allowed: .*"),
        (["--foot", "24 cm", "--spacing", "9"], r'--spacing: "9": .*; try: "9 mm"'),
        (["--loom", "40"], r"--loom: '40' is no loom; allowed: \"40 x 3/8 in\", .*"),
        (["--loom", "8 x 3/8 in"], r"--loom: 8 is too small; allowed: .* from 16 to 120"),
        (["--loom", "40 x 3/8"], r'--loom: "3/8": a length needs a unit; .*'),
        (["--looms", "no.toml"], r"pegfolio loom: there is neither.*"),
        (["--foot", "24 cm", "--looms", "no.toml"], r"no.toml: there is no such file"),
        (["--foot", "24 cm", "--knit", "flt"], r'--knit: "flt" is not one .*; try: "flat"'),
        (["--foot", "24 cm", "--ease", "10"], r'--ease: "10" is not a share .*; try: "10 %"'),
        (["--foot", "24 cm", "--ease-length", "60 %"], r'--ease-length: .*; try: "10 %"'),
        (
            ["--foot", "24 cm", "--looms", "no.toml", "--loom", "40 x 1 cm"],
            r"--looms: a file of looms goes with a foot, and not with --loom; .*",
        ),
    ],
)
@pytest.mark.usefixtures("folder")
def test_wrong_usage_of_loom_ends_with_2_and_one_line(args: list[str], said: str) -> None:
    ended = run("loom", *args)
    assert (ended.exit_code, ended.stdout) == (2, "")
    assert re.fullmatch(said + "\n", ended.stderr), ended.stderr


def test_slips_in_a_file_of_looms_are_told_with_their_lines(folder: Path) -> None:
    text = '[[loom]]\nname = "a"\npegs = 8\nspacing = "3/8"\n'
    (folder / "looms.toml").write_text(text, encoding="utf-8")
    ended = run("loom", "--foot", "24 cm", "--looms", "looms.toml")
    assert (ended.exit_code, ended.stdout) == (1, "")
    assert [line.split(": ")[0] for line in ended.stderr.splitlines()] == [
        "looms.toml:3",
        "looms.toml:4",
    ]


# template --outline


TRACED = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="120mm" viewBox="0 0 1200 2600">'
    '<path d="M400 2400C150 2400 120 2000 180 1600C150 1300 60 900 40 600C60 250 250 0 450 20'
    'C800 60 900 400 850 700C800 1100 700 1500 700 1900C700 2250 600 2400 400 2400Z"/></svg>'
)


def test_template_of_a_traced_foot_is_as_large_as_it_was_drawn(bridge: Path) -> None:
    bridge.with_name("foot.svg").write_text(TRACED, encoding="utf-8")
    args = ("--size", "Medium", "--outline", "foot.svg", "--output", "t.pdf")
    for side, more in (("right", ("--side", "right")), ("left", ())):
        ended = run("template", bridge.name, *args, *more)
        assert (ended.exit_code, ended.stderr) == (0, "")
        words = PdfReader("t.pdf").pages[0].extract_text()
        assert re.search(rf"{side.capitalize()} foot from above, 23\.8 cm", words)
        assert "The outline is the one that was traced" in words.replace("\n", " ")


def test_outline_of_another_foot_is_refused_with_nothing_written(bridge: Path) -> None:
    bridge.with_name("foot.svg").write_text(TRACED, encoding="utf-8")
    args = ("template", bridge.name, "--size", "Child", "--output", "t.pdf")
    ended = run(*args, "--outline", "foot.svg")
    assert (ended.exit_code, ended.stdout) == (2, "")
    assert ended.stderr.startswith("foot.svg: the outline is 238 mm long and the foot 195 mm; ")
    for name, text, said in (
        ("a.svg", "<!DOCTYPE svg [<!ENTITY a 'b'>]><svg/>", "the file declares entities; .*"),
        ("a.svg", "no drawing", "the file is no XML: .*"),
        ("none.svg", None, "there is no such file; try: foot.svg"),
    ):
        if text is not None:
            bridge.with_name(name).write_text(text, encoding="utf-8")
        ended = run(*args, "--outline", name)
        assert (ended.exit_code, ended.stdout) == (2, "")
        assert re.fullmatch(f"{name}: {said}\n", ended.stderr)
    ended = run(*args, "--traced", "left")
    assert ended.stderr.startswith("--traced: there is no outline that it could tell of; ")
    assert not Path("t.pdf").exists()


# yarn


@pytest.mark.parametrize("name", ["ember", "reed-bank", "millstream"])
def test_yarn_is_held_against_the_rule_of_thumb(name: str) -> None:
    """Within 10 % of it: the samples are ribbed and cabled, and the rule has 9 to 20 % in hand."""
    out = run("yarn", str(SAMPLES / f"{name}.toml")).stdout
    told = re.search(r"common practice, no published source.* computed is (\d+) % (more|less)", out)
    assert told
    assert int(told[1]) <= 10


def test_yarn_adds_up_and_names_the_source_of_every_factor(bridge: Path) -> None:
    ended = run("yarn", bridge.name, "--size", "Small")
    assert (ended.exit_code, ended.stderr) == (0, "")
    by_use, by_section = ended.stdout.split("\n\n")[1:3]
    used = by_use.splitlines()[1:]
    metres = [float(re.findall(r"\d+\.\d", line)[1]) for line in used]
    sections = [float(line.split()[-1]) for line in by_section.splitlines()[1:]]
    told = re.search(r"one sock as computed: (\d+) m", ended.stdout)
    assert told
    assert sum(metres) == pytest.approx(float(told[1]), abs=0.9)
    assert sum(sections) == pytest.approx(float(told[1]), abs=0.9)
    assert all(
        re.search(r"estimate|derived|common practice|the loop length itself", line) for line in used
    )


def test_yarn_of_two_strands_counts_balls_and_how_two_socks_share_them(bridge: Path) -> None:
    out = run("yarn", bridge.name, "--size", "Small").stdout
    one = re.search(r"one sock with 15 % in hand and 2 strands: (\d+) m .*, (\d+) g, 2 balls", out)
    pair = re.search(r"the pair with 15 % in hand and 2 strands: (\d+) m .*, (\d+) g, 3 balls", out)
    assert one
    assert pair
    assert int(pair[1]) == pytest.approx(2 * int(one[1]), abs=1)
    assert int(pair[2]) == pytest.approx(int(pair[1]) * 50 / 112, abs=1)
    assert "first sock 1 ball and 25 g of the divided one" in out


def test_yarn_without_a_gauge_is_a_marked_guess(pattern: Path) -> None:
    out = run("yarn", pattern.name).stdout
    assert "the gauge is guessed: a stitch 0.72 of the peg spacing wide" in out
    assert "grams and balls are not known" in out


# template


def test_template_is_of_the_wearer_or_of_the_foot_that_is_told(bridge: Path) -> None:
    ended = run("template", bridge.name, "--size", "Large")
    assert ended.exit_code == 0
    assert re.fullmatch(r"bridge-large-template\.pdf: written \(.*print at 100 %\)\n", ended.stdout)
    assert len(PdfReader(bridge.with_name("bridge-large-template.pdf")).pages) >= 1
    other = run("template", bridge.name, "--size", "Large", "--foot", "24 cm", "--output", "b.pdf")
    assert other.exit_code == 0
    first = bridge.with_name("bridge-large-template.pdf").read_bytes()
    assert bridge.with_name("b.pdf").read_bytes() != first


def test_template_without_any_foot_is_refused_with_what_to_add(pattern: Path) -> None:
    ended = run("template", pattern.name)
    assert (ended.exit_code, ended.stdout) == (1, "")
    assert ended.stderr == (
        "harbour.toml: wearer: a template needs a foot; try: length under [wearer], --foot or "
        "--outline\n"
    )
    assert not pattern.with_name("harbour-template.pdf").exists()


# The same bytes each time.


@pytest.mark.parametrize(
    "args",
    [
        ("sizes", "bridge.toml"),
        ("sizes", "bridge.toml", "--output", "out.csv"),
        ("check", "bridge.toml"),
        ("data", "bridge.toml"),
        ("yarn", "bridge.toml", "--size", "Small"),
        ("loom", "--foot", "23.5 cm"),
        ("template", "bridge.toml", "--size", "Small", "--output", "out.pdf"),
    ],
    ids=" ".join,
)
def test_output_is_the_same_whatever_the_hash_seed_time_zone_and_folder(
    tmp_path: Path, args: tuple[str, ...]
) -> None:
    outputs = []
    for place, seed, zone in (("here", "0", "UTC"), ("there", "4242", "Pacific/Kiritimati")):
        folder = tmp_path / place
        folder.mkdir()
        shutil.copy(SAMPLES / "three-looms.toml", folder / "bridge.toml")
        ended = start(*args, cwd=folder, PYTHONHASHSEED=seed, TZ=zone)
        assert (ended.code, ended.stderr) == (0, "")
        outputs.append((ended.stdout, [path.read_bytes() for path in sorted(folder.glob("out.*"))]))
    assert outputs[0] == outputs[1]


# The booklet of every size


def test_booklet_without_a_size_prints_them_all(bridge: Path) -> None:
    ended = run("booklet", bridge.name)
    assert (ended.exit_code, ended.stderr) == (0, "")
    with pypdfium2.PdfDocument(bridge.with_name("bridge-booklet.pdf")) as pdf:
        cover = pdf[0].get_textpage().get_text_range()
    for size in ("Child", "Youth", "Small", "Medium", "Large"):
        assert size in cover


def test_booklet_marks_one_size_and_names_one_it_does_not_know(bridge: Path) -> None:
    assert run("booklet", bridge.name, "--mark", "Small").exit_code == 0
    ended = run("booklet", bridge.name, "--mark", "Giant")
    assert (ended.exit_code, ended.stdout) == (2, "")
    assert ended.stderr.startswith("--mark: no size 'Giant' can be made; allowed: Child, Youth")


def test_mark_without_other_sizes_is_refused(pattern: Path) -> None:
    ended = run("booklet", pattern.name, "--mark", "S")
    assert (ended.exit_code, ended.stdout) == (2, "")
    assert ended.stderr == "--mark: there are no other sizes beside it; try: leave it out\n"


def test_booklet_of_the_good_sizes_names_the_bad_one_and_ends_with_1(bridge: Path) -> None:
    text = bridge.read_text(encoding="utf-8")
    bridge.write_text(text + '\n[[size]]\nname = "Odd"\nloom = { pegs = 31 }\n', encoding="utf-8")
    ended = run("booklet", bridge.name)
    assert ended.exit_code == 1
    assert "Odd" in ended.stderr
    with pypdfium2.PdfDocument(bridge.with_name("bridge-booklet.pdf")) as pdf:
        cover = pdf[0].get_textpage().get_text_range()
    assert "not printed" in cover.lower()


def test_sheet_of_sizes_and_designers_note_choose_alike(bridge: Path) -> None:
    """Each size was fitted to the round by its ring, then to the length by its rows."""
    assert "by the round of your foot, then by its length" in bridge.read_text(encoding="utf-8")
    run("sizes", bridge.name, "--output", "s.pdf")
    with pdfplumber.open(bridge.with_name("s.pdf")) as pdf:
        words = " ".join(" ".join(page.extract_text() for page in pdf.pages).split())
    assert "Choose by the round of the foot, then by its length" in words
