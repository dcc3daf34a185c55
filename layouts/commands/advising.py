"""`loom`: which loom for a foot, and which feet for a loom."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import click

from charts.ease import small_words
from charts.pattern_words import listed
from charts.short_forms import GAUGE_FORMS, LOOM_FORMS
from charts.spec import Units
from charts.stitches import KNIT_LETTERS
from layouts.commands.foot import (
    foot_options,
    read_foot,
    read_gauge,
    read_loom,
    read_option,
    read_spacing,
)
from layouts.commands.options import units_option
from layouts.commands.pattern import AskedUnits, read_text, units_asked
from layouts.commands.refusal import pattern_problems, wrong_usage
from layouts.commands.words import length_in_both, table_lines

if TYPE_CHECKING:
    from charts.adviser import LoomFit, LoomGauge, Wishes
    from charts.class_fit import OwnedFit
    from charts.feet import Foot
    from charts.gauge import GaugeReading
    from charts.loom import Loom
    from charts.looms_file import OwnedLoom
    from charts.spec import Gauge


@click.command()
@foot_options
@click.option("--gauge", metavar="COUNTS", help=f"From your swatch: {GAUGE_FORMS}.")
@click.option("--spacing", metavar="LENGTH", help="Of the loom of the gauge, or of any loom.")
@click.option("--looms", metavar="FILE", help="The looms you own: a [[loom]] each, in TOML.")
@click.option("--loom", "one_loom", metavar="LOOM", help=f"One loom: {LOOM_FORMS}.")
@click.option("--knit", metavar="WORD", help=f"{listed(tuple(KNIT_LETTERS))}.  Default: flat.")
@click.option("--ease", metavar="SHARE", help="Smaller than the foot round it.  Default: 10 %.")
@click.option("--ease-length", metavar="SHARE", help="The same along it.  Default: 2.5 %.")
@units_option
def loom(
    gauge: str | None,
    spacing: str | None,
    looms: str | None,
    one_loom: str | None,
    knit: str | None,
    ease: str | None,
    ease_length: str | None,
    units: AskedUnits | None,
    **told: str | None,
) -> None:
    """Say which loom fits a foot, or which feet a loom fits.

    With a foot: the best of your --looms and what gauge would make the others fit, or how --loom
    fits, or the peg counts at a --spacing.  Without a foot: the feet that --loom fits.  Without
    --gauge the stitches are guessed from the spacing.

    \b
    Example:
      pegfolio loom --foot "23.5 cm" --ball "22.5 cm" --spacing "3/8 in"
      pegfolio loom --foot "23.5 cm" --looms looms.toml --knit u-wrap
    """
    foot = read_foot(told)
    if foot is None and one_loom is None:
        what = "there is neither a foot nor a loom to tell of"
        raise wrong_usage("pegfolio loom", what, suggestion='--foot "23.5 cm" or --loom LOOM')
    if looms is not None and (one_loom is not None or foot is None):
        what = "a file of looms goes with a foot, and not with --loom"
        raise wrong_usage("--looms", what, suggestion='--foot "23.5 cm" --looms looms.toml')

    wanted = Units.CM if units is None else units_asked(Units.CM, units)
    wishes = _wishes(wanted, knit, ease, ease_length)
    counted = None if gauge is None else read_gauge(gauge)
    at = None if spacing is None else read_spacing("--spacing", spacing)
    if one_loom is not None:
        found = read_loom(one_loom)
        lines = _about_loom(foot, found, _loom_gauge(counted, at, (found,), wishes), wishes)
    elif foot is not None and looms is not None:
        owned = _read_looms(looms)
        known = _loom_gauge(counted, at, [each.loom for each in owned], wishes)
        lines = _about_owned(foot, owned, known, wishes)
    elif foot is not None:
        lines = _about_spacings(foot, at, _loom_gauge(counted, at, (), wishes), wishes)
    for line in lines:
        click.echo(line)


def _wishes(units: Units, knit: str | None, ease: str | None, ease_length: str | None) -> Wishes:
    """What the options say of the sock.  Raises Refusal."""
    from charts.adviser import Wishes
    from charts.ease import LENGTH_SHARE, ROUND_SHARE, Ease
    from charts.pattern_values import EaseShare, Word

    shares = [
        usual if words is None else read_option(option, EaseShare(along=along).read, words) / 100
        for option, words, along, usual in (
            ("--ease", ease, False, ROUND_SHARE),
            ("--ease-length", ease_length, True, LENGTH_SHARE),
        )
    ]
    word = "flat"
    if knit is not None:
        word = read_option("--knit", Word({word: word for word in KNIT_LETTERS}).read, knit)
    return Wishes(Ease(*shares), word, units=units)


def _read_looms(file: str) -> tuple[OwnedLoom, ...]:
    from charts.looms_file import read_looms
    from charts.problems import PatternError

    name, text = read_text(file)
    try:
        return read_looms(text)
    except PatternError as error:
        raise pattern_problems(name, error) from None


def _loom_gauge(
    counted: Gauge | None, at: tuple[float, str] | None, looms: Sequence[Loom], wishes: Wishes
) -> LoomGauge | None:
    """The counted gauge with its spacing.

    Raises Refusal if the spacing is not told, or would tell nothing of any of the looms.
    """
    if counted is None:
        if at is not None and looms:
            what = "a loom has its own spacing; this one is for the gauge of a swatch"
            raise wrong_usage("--spacing", what, suggestion="--gauge as well, or leave it out")
        return None
    from charts.adviser import LoomGauge, gauge_for
    from charts.gauge import gauge_as_given

    spacings = {loom.spacing_mm for loom in looms}
    if at is None and len(spacings) != 1:
        what = "a gauge belongs to a spacing: which loom was the swatch knitted on?"
        raise wrong_usage("--gauge", what, suggestion='--spacing "3/8 in"')
    spacing_mm = spacings.pop() if at is None else at[0]
    known = LoomGauge(gauge_as_given(counted, knit=wishes.knit), spacing_mm)
    if (
        at is not None
        and looms
        and all(gauge_for(loom, known).source.is_estimate for loom in looms)
    ):
        spacing_words = listed(dict.fromkeys(loom.spacing_text for loom in looms))
        what = f"a gauge from pegs {at[1]} apart tells nothing of pegs {spacing_words} apart"
        raise wrong_usage("--spacing", what, suggestion="leave --gauge and --spacing out")
    return known


# What is said


def _about_foot(foot: Foot, wishes: Wishes) -> Iterator[str]:
    """The foot as it was told or guessed, and the sock that it asks for."""
    from charts.fit import round_aim

    units = wishes.units
    rows = [
        (
            name,
            length_in_both(measure.mm, units),
            f"{measure.basis}, ± {small_words(measure.error_mm, units)}",
        )
        for name, measure in (
            ("foot", foot.length),
            ("ball", foot.ball),
            ("heel and ankle", foot.heel_ankle),
        )
    ]
    aim = round_aim(foot, wishes.ease, ribbed_share=wishes.ribbed_share, units=units).aim
    rows.append(("sock round", length_in_both(aim.mm, units), aim.reason))
    yield from table_lines(rows)
    for note in foot.notes:
        yield from _wrapped(f"({note})")


def _about_owned(
    foot: Foot, looms: Sequence[OwnedLoom], counted: LoomGauge | None, wishes: Wishes
) -> Iterator[str]:
    """The best of the looms, and what would make each of the others fit."""
    from charts.class_fit import rank_looms

    ranked = rank_looms(foot, looms, counted=counted, wishes=wishes)
    best = ranked[0]
    if best.found.works:
        yield from _wrapped(
            f"Take {best.owned.name} ({_name(best.found.loom)}): {_fit_words(best.found)}"
        )
    else:
        yield "None of these looms fits as it is"
    guessed = [one.owned.name for one in ranked if one.found.gauge.source.is_estimate]
    where = f"on {listed(guessed, 'and')} " if len(guessed) < len(ranked) else ""
    yield from _gauge_remark(where, bool(guessed))
    yield ""
    yield from _about_foot(foot, wishes)
    others = ranked[1:] if best.found.works else ranked
    if others:
        yield ""
        yield "the others:" if best.found.works else "what would make each fit:"
        heads = ("loom", "pegs", "fit", "round", "fits at stitches in 10 cm")
        yield from table_lines([heads, *(_owned_row(one, wishes.units) for one in others)])


def _owned_row(one: OwnedFit, units: Units) -> tuple[str, ...]:
    found, needed = one.found, one.gauge_needed
    weights = " or ".join(weight.name for weight in needed.weights)
    hard = "" if needed.suits(found.loom.spacing_mm) else ", hardly to be had on these pegs"
    stitches = f"{needed.fewest:.1f} to {needed.most:.1f}, best {needed.best:.1f}"
    fit = found.fit.fit_class.value
    if found.foot_rows.problem is not None:
        fit += ", too few rows"
    return (
        one.owned.name,
        f"{found.loom.pegs}, {found.loom.spacing_text}",
        fit,
        length_in_both(found.fit.round_mm, units),
        stitches + (f" ({weights} yarn)" if weights else "") + hard,
    )


def _about_loom(
    foot: Foot | None, loom: Loom, counted: LoomGauge | None, wishes: Wishes
) -> Iterator[str]:
    """How the foot fits the one loom, and the feet that it fits."""
    from charts.adviser import feet_for, gauge_for, gauge_needed, try_loom

    gauge = gauge_for(loom, counted, knit=wishes.knit)
    if foot is not None:
        yield from _about_foot(foot, wishes)
        found = try_loom(foot, loom, gauge, wishes)
        yield ""
        yield from _wrapped(f"{_name(loom)}: {_fit_words(found)}")
        if found.nearest is not None:
            yield f"nearest that works: {found.nearest.words}"
        needed = gauge_needed(foot, loom.pegs, wishes)
        yield (
            f"this loom fits this foot at {needed.fewest:.1f} to {needed.most:.1f} stitches in "
            f"10 cm, best {needed.best:.1f}"
        )
        yield ""
    feet = feet_for(loom, gauge, wishes)
    low_mm, high_mm = feet.round_mm
    units = wishes.units
    yield (
        f"{_name(loom)} at {gauge.stitches.per_10cm:.1f} stitches and {gauge.rows.per_10cm:.1f} "
        f"rows in 10 cm ({gauge.basis})"
    )
    yield from table_lines(
        [
            (
                "feet round the ball",
                f"{length_in_both(low_mm, units)} to {length_in_both(high_mm, units)}",
            ),
            ("feet not shorter than", length_in_both(feet.shortest_mm, units)),
            ("of the usual round", _usual_words(feet.usual_length_mm, units)),
            ("adults, ANSUR II", _share_words(feet.share_of_women, feet.share_of_men)),
        ]
    )


def _usual_words(lengths_mm: tuple[float, float] | None, units: Units) -> str:
    if lengths_mm is None:
        return "none"
    low_mm, high_mm = lengths_mm
    return f"{length_in_both(low_mm, units)} to {length_in_both(high_mm, units)} long"


def _share_words(women: float, men: float) -> str:
    return f"{100 * women:.0f} women in 100, {100 * men:.0f} men in 100"


def _about_spacings(
    foot: Foot, at: tuple[float, str] | None, counted: LoomGauge | None, wishes: Wishes
) -> Iterator[str]:
    """The peg counts that fit, at the one spacing or at each that the trade names."""
    from charts.adviser import TRADE_SPACINGS, gauge_for
    from charts.loom import Loom
    from charts.pattern_file import LEAST_PEGS

    yield from _about_foot(foot, wishes)
    spacings = (
        [at] if at is not None else [read_spacing("--spacing", text) for text in TRADE_SPACINGS]
    )
    yield ""
    looms = [Loom(LEAST_PEGS, *spacing) for spacing in spacings]
    for loom in looms:
        yield from _about_spacing(foot, loom, gauge_for(loom, counted, knit=wishes.knit), wishes)
    guessed = any(gauge_for(loom, counted, knit=wishes.knit).source.is_estimate for loom in looms)
    yield from _gauge_remark("", guessed)


def _about_spacing(foot: Foot, loom: Loom, gauge: GaugeReading, wishes: Wishes) -> Iterator[str]:
    from charts.adviser import best_of, peg_choices

    text = loom.spacing_text
    choices = peg_choices(foot, loom, gauge, wishes)
    best = best_of(choices)
    if best is None:
        yield f"{text}: no ring of pegs so far apart fits ({gauge.basis})"
        return
    yield f"{text}: {_pegs_words([one.loom.pegs for one in choices])} pegs, best {best.loom.pegs}"
    yield f"  {_fit_words(best)}"


def _pegs_words(counts: Sequence[int]) -> str:
    """The counts, a run by its ends.

    >>> _pegs_words([30, 31, 32]), _pegs_words([28])
    ('30 to 32', '28')
    """
    return str(counts[0]) if len(counts) == 1 else f"{counts[0]} to {counts[-1]}"


def _fit_words(found: LoomFit) -> str:
    """The fit, and the rows of the foot."""
    words = found.fit.sentence
    if found.foot_rows.problem is not None:
        return f"{words}; {found.foot_rows.problem.what}"
    return f"{words}; {found.foot_rows.rows} foot rows"


def _gauge_remark(where: str, guessed: bool) -> Iterator[str]:
    """Where the gauge is a guess, that it is one."""
    if guessed:
        yield from _wrapped(
            f"the gauge {where}is guessed from the spacing: knit a swatch, then ask again with "
            '--gauge "15 x 20" and --spacing'
        )


_WIDTH = 80


def _wrapped(words: str) -> list[str]:
    """A sentence in lines for a terminal; a number keeps its percent sign."""
    held = words.replace(" %", f"{_NO_BREAK}%")
    lines = textwrap.wrap(held, _WIDTH, subsequent_indent="  ", break_on_hyphens=False)
    return [line.replace(_NO_BREAK, " ") for line in lines]


_NO_BREAK = "\N{NO-BREAK SPACE}"


def _name(loom: Loom) -> str:
    return f"{loom.pegs} pegs, {loom.spacing_text}"
