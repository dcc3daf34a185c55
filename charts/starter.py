"""A starter pattern for a loom: a pattern file that explains itself.

Its row counts are in proportion to the pegs, because the ring sets girth and length together:
with 4 rows as tall as 3 stitches are wide and a foot about as long as its girth, the foot takes
some 4/3 rows a peg, 5/4 without the tip of the toe.  Common practice, no published source; a
swatch decides.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import Enum
from types import MappingProxyType
from typing import Final

from charts.loom import Working
from charts.pattern_file import LEAST_PEGS, MOST_PEGS, read_pattern
from charts.pattern_values import Drawing, write_text
from charts.pattern_words import listed, quoted
from charts.plan import Plan, make_plan, rib_words
from charts.problems import PatternError
from charts.spec import (
    Cuff,
    Flanks,
    FootInstep,
    Leftover,
    Leg,
    Motif,
    ShortRows,
    SockSpec,
    ToeShape,
    Units,
)
from charts.stitches import KNIT_LETTERS

_REMARK_COLUMN: Final = 30
_MOTIF_NAME: Final = "zigzag"
_MOTIF_WIDTHS: Final = (7, 6, 5, 4)
"""Widths to choose from: the first that fits the instep and can be centred on it."""


@dataclass(frozen=True)
class StarterChoices:
    """What the knitter tells of the sock to start from."""

    title: str
    pegs: int
    spacing: str
    """A length with a unit, e.g. "3/8 in"."""
    knit: str = "flat"
    """"flat", "u-wrap" or "e-wrap"."""


def make_starter(choices: StarterChoices) -> str:
    """The text of a pattern file with those choices and a comment on every number.

    Reading and planning it find no problem.  Raises PatternError with every choice that a
    pattern may not hold.
    """
    plan = make_plan(_make_spec(choices))
    return _text(plan)


def _make_spec(choices: StarterChoices) -> SockSpec:
    """The spec the starter describes, without its motif's panel if none fits the instep."""
    asked = _read_choices(choices)
    pegs = asked.loom.pegs
    rib = _rib_for(pegs)
    leftover = Leftover.KNIT if pegs % len(rib) else Leftover.REFUSE
    cuff = Cuff(rows=max(6, pegs // 3 // 2 * 2), rib=rib, leftover=leftover)
    spec = replace(asked, cuff=cuff)
    instep = make_plan(spec).instep_pegs
    leg_rows = pegs * 9 // 10
    for width in _MOTIF_WIDTHS:
        if width <= instep and (instep - width) % 2 == 0:
            motif = Motif(_MOTIF_NAME, _zigzag(width))
            whole_rows = max(1, round(leg_rows / motif.height)) * motif.height
            leg = Leg(rows=whole_rows, panel=motif.name)
            return replace(spec, leg=leg, motifs=MappingProxyType({motif.name: motif}))
    return replace(spec, leg=Leg(rows=leg_rows))


def _read_choices(choices: StarterChoices) -> SockSpec:
    """The choices alone as a spec; their problems have no line, since there is no file yet."""
    text = (
        f"title = {write_text(choices.title)}\n"
        f"knit = {write_text(choices.knit)}\n"
        f"loom = {{ pegs = {choices.pegs}, spacing = {write_text(choices.spacing)} }}\n"
    )
    try:
        return read_pattern(text)
    except PatternError as error:
        problems = tuple(replace(problem, line=None) for problem in error.problems)
        raise PatternError(problems) from None


def _rib_for(pegs: int) -> str:
    """The most elastic usual rib that divides the pegs; k1 p1 with one peg over if none does."""
    if pegs % 4 == 0:
        return "kkpp"
    return "kkp" if pegs % 2 and pegs % 3 == 0 else "kp"


def _zigzag(width: int) -> tuple[str, ...]:
    """One stitch that travels over the others to the right and back, purl at both edges.

    >>> print("\\n".join(reversed(_zigzag(4))))
    pkkp
    prLp
    pkkp
    pRlp
    """
    steps = range(width - 3)
    right = ["k" * step + "Rl" + "k" * (width - 4 - step) for step in steps]
    left = ["k" * step + "rL" + "k" * (width - 4 - step) for step in reversed(steps)]
    plain = f"p{'k' * (width - 2)}p"
    return tuple(row for crossed in (*right, *left) for row in (f"p{crossed}p", plain))


def _text(plan: Plan) -> str:
    from charts.ease import LENGTH_SHARE, ROUND_SHARE  # slow to import, and only needed here

    spec = plan.spec
    default = SockSpec(title=spec.title, loom=spec.loom)
    rib = f"knit and purl pegs by turns; {rib_words(default.cuff.rib)} if left out"
    across = "times the panel stands side by side"
    return "\n".join(
        (
            f"# A sock for a round peg loom of {spec.loom.pegs} pegs.",
            "#",
            "# What stands behind a # is a remark for you.  A remark that looks like a line of the",
            "# pattern shows what holds if you leave it out; to set it, take away the # and the",
            "# blank behind it.",
            "#",
            "# CAUTION: knit a swatch first, with your yarn, on this loom; wash it, let it dry,",
            "# count.  The rows below are a start in proportion to the pegs: they do not know your",
            "# hand, your yarn or your foot.  The swatch decides.",
            "",
            f"title = {write_text(spec.title)}",
            _line('# designer = ""', "your name, as it is to be printed"),
            _line('# notes = ""', "what the knitter should know besides"),
            _word("# units", default.units, "printed first, or alone", Units),
            _line(f'knit = "{spec.knit}"', f"the knit of the whole sock: {_or(KNIT_LETTERS)}"),
            _line('# yarn = ""', "the yarn in your words"),
            "",
            "[loom]",
            _line(f"pegs = {spec.loom.pegs}", f"of the whole ring, {LEAST_PEGS} to {MOST_PEGS}"),
            _line(
                f"spacing = {write_text(spec.loom.spacing_text)}",
                "from the centre of a peg to the centre of the next",
            ),
            _word("# working", default.loom.working, "seen from outside", Working),
            "",
            "# Your swatch, washed and dry.  The counts here are examples; none holds unless set.",
            "# [gauge]",
            _line("# stitches = 14", "over 10 cm; halves count, as in 14.5"),
            _line("# rows = 19", "over 10 cm"),
            _line('# per = "10 cm"', 'or "4 in", if you counted over 4 in'),
            _line('# weight = "medium"', "category of the yarn: a guess where nothing was counted"),
            "# Several counts tell how sure the gauge is; the yarn in them, how much you need:",
            '#   swatches = [{ stitches = 14, rows = 19, over = "10 cm", yarn = "7.8 m" }, ...]',
            "",
            "# Whose foot: examples again.  With a wearer and a gauge, take out the rows under",
            "# [cuff], [leg] and [foot], and they follow from the foot.  Measures win over shoe",
            "# and class; what is left out is guessed.",
            "# [wearer]",
            _line('# length = "24 cm"', "heel to the longest toe, standing"),
            _line('# ball = "22.5 cm"', "round the ball of the foot"),
            _line('# ankle = "21 cm"', "round the ankle above the bones, where it is thinnest"),
            _line(
                '# heel_round = "31 cm"',
                "round heel and bend of the ankle: it must pass",
            ),
            _line('# leg_round = "25 cm"', "round the leg where the sock ends"),
            _line('# leg_height = "20 cm"', "floor to where the sock ends"),
            _line('# heel_width = "6.5 cm"', "chooses the pegs of the heel's turn"),
            _line('# heel_height = "6.5 cm"', "floor to the ankle bone"),
            _line('# shoe = "EU 38"', "or UK, US men, US women, child UK, mondopoint: a guess"),
            _line('# class = "woman"', 'or "girl 7", "large man": a rougher guess'),
            "",
            "# How much smaller than the foot the sock is made.",
            "# [ease]",
            _line(f'# round = "{100 * ROUND_SHARE:g} %"', "round the foot"),
            _line(f'# length = "{100 * LENGTH_SHARE:g} %"', "along the foot"),
            "",
            "# A ball of the yarn, off its band, to count metres and balls by: examples.",
            "# [ball]",
            _line("# metres = 90", "in one ball"),
            _line("# grams = 50", "of one ball"),
            _line('# weight = "medium"', "the category, where metres or grams are not known"),
            _line(f"# strands = {default.ball.strands}", "held together as one"),
            "",
            "# A cuff that leaves a mark is too tight: it hinders the blood.  Cast on loosely, and",
            "# with diabetes or poor circulation ask a doctor or nurse before wearing the sock.",
            "[cuff]",
            _line(f'rib = "{rib_words(spec.cuff.rib)}"', rib),
            _line(f"rows = {spec.cuff.rows}", f"rounds of rib; {default.cuff.rows} if left out"),
            _word("leftover", spec.cuff.leftover, "pegs the rib leaves over", Leftover),
            "",
            "[leg]",
            _line(f"rows = {spec.leg.rows}", f"cuff to heel; {default.leg.rows} if left out"),
            *_panel_lines(spec),
            _line(f"# across = {default.leg.across}", across),
            _word("# flanks", default.leg.flanks, "the instep beside the panel", Flanks),
            _line(f"# round_start_shift = {plan.shift}", "pegs; centres the rib on the instep"),
            _line("# round_to_motif = false", "true: rows that a wearer decides end on a motif"),
            "",
            "# The heel: a flap, a turn and two gussets.  These three hang together: left out,",
            "# each follows from the pegs by the rule, as shown.",
            "# [heel]",
            _line(f"# pegs = {plan.heel_pegs}", "pegs of the flap: half the ring and a few more"),
            _line(f"# centre = {plan.centre_pegs}", "pegs of the turn: about a third of the flap"),
            _line(f"# flap_rows = {plan.flap_rows}", "two for each gusset peg of one side"),
            "",
            "# [gusset]",
            _line("# corner_bars = false", "true: a bar lifted at each corner too, against holes"),
            "",
            "[foot]",
            _line(
                f"rows = {spec.foot.rows}",
                f"heel to toe, counted on the instep; {default.foot.rows} if left out",
            ),
            _word("# instep", default.foot.instep, "the panel along the foot", FootInstep),
            _line("# round_to_motif = false", "true: rows that a wearer decides end on a motif"),
            "",
            "# [toe]",
            _word("# shape", default.toe.shape, "how the thirds of the toe are rounded", ToeShape),
            _line(
                f"# side = {plan.toe_side}", "pegs turned at each side: about a third of the toe"
            ),
            _word("# short_rows", default.toe.short_rows, "how a row is turned", ShortRows),
            "",
            "# [pair]",
            _line("# mirror_cables = false", "true: cables of the second sock lean the other way"),
            "",
            "# What you print on your pattern besides: examples again.",
            "# [house]",
            _line('# copyright = "© 2026 the designer"', "printed on the cover, as all of these"),
            _line('# licence = "For your own knitting."', "what a knitter may do with it"),
            _line('# logo = "logo.png"', "a PNG or JPEG beside this file"),
            _line('# accent = "#0072B2"', "of the cover's title, printed with --colour"),
            _line("# edition = 1", 'or "2.1"'),
            _line('# date = "March 2026"', "of the edition, as it is to be printed"),
            "",
            "# Several sizes in one file: each has a name and any of the tables above but [house],",
            "# which overrule the file's for that size.",
            "#   [[size]]",
            '#   name = "S"',
            f"#   loom = {{ pegs = {spec.loom.pegs} }}",
            *_motif_lines(spec),
            "",
        )
    )


def _panel_lines(spec: SockSpec) -> tuple[str, ...]:
    if spec.leg.panel is None:
        return (
            "# There is no panel: this instep is too narrow for one.  To try a motif of your own,",
            "# draw it under [motif.NAME] and name it here with panel.",
        )
    return (_line(f'panel = "{spec.leg.panel}"', "the motif up the instep; none if left out"),)


def _motif_lines(spec: SockSpec) -> tuple[str, ...]:
    if spec.leg.panel is None:
        return ()
    motif = spec.motifs[spec.leg.panel]
    return (
        "",
        "# The motif as you see it on the sock: the top line is the last row, one letter a stitch.",
        "# k is the knit of the sock, p purl.  R l is a cable cross with its left strand on top,",
        "# going right; r L one with its right strand on top, going left.  It repeats upwards.",
        f"[motif.{motif.name}]",
        f"rows = {Drawing().write(motif.rows)}",
    )


def _line(text: str, remark: str) -> str:
    return f"{text:<{_REMARK_COLUMN}}  # {remark}"


def _word(key: str, word: Enum, remark: str, words: type[Enum]) -> str:
    return _line(f'{key} = "{word.value}"', f"{remark}: {_or(each.value for each in words)}")


def _or(words: Iterable[str]) -> str:
    return listed(quoted(word) for word in words)
