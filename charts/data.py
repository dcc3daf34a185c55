"""A proved sock as JSON, for other programs: plan with reasons, every row and move, steps.

The whole is one object.  Its members, in this order:

`format`, `version`
    "pegfolio sock" and the whole number of this layout, `VERSION`.  A member may be added without a
    new number; one that is renamed, taken away or changed in meaning gives a new number.
`title`, `designer`, `notes`, `units`, `knit`, `yarn`
    As in the pattern file; text that was not given is "".
`loom`
    `pegs`, `spacing_mm` (centre to centre), `spacing` (as written), `working` ("left to right" or
    "right to left": the first round, seen from outside the ring).
`gauge`
    `stitches_per_10cm` and `rows_per_10cm`, or null.
`house`
    `licence`, `copyright`, `logo` (a path from the pattern's folder on), `accent` ("#" and six hex
    digits, as written), `edition`, `date`: as in the pattern file; "" where not given.
`wearer`
    Null without a wearer, else `measures`, one object for each: `name`, `mm`, `error_mm`, `origin`,
    `basis`; `notes`, what was used and what was not.
`measures`
    Null without a gauge, else the finished sock, counted from the proved rows: `gauge` with
    `stitches_per_10cm`, `rows_per_10cm`, `stitches_error` and `rows_error` (shares), `source`,
    `basis`; and `round`, `cuff`, `leg`, `flap`, `height`, `turn`, `foot`, `toe`, `length`,
    `heel_width`, each an object of `mm` and `error_mm`.
`fit`
    Null without a wearer or a gauge, else `class`, `may_be` (all classes that the spread allows),
    `works`, `sentence`, `aim_mm`, `ease_round` and `ease_length` (shares), `smaller` (the share by
    which the sock is smaller than the foot), `heel_stretch` and `leg_stretch` (times the round;
    null where the leg is not known), `notes`.
`yarn_need`
    Null without a gauge, else `loop_mm`, `loop_low_mm`, `loop_high_mm`, `basis`, `margin` (a
    share), `strands`; `ball` (null if not known) with `metres`, `grams`, `basis`; `one_sock` and
    `pair`, each with `net_metres`, `metres`, `yards`, `grams`, `balls`; and `parts`, the first
    sock's: `section`, `use`, `count`, `mm_each`.
`plan`
    One object a number: `name`, `value` (text as printed), `reason`, and `key`, the key of the
    pattern file that overrules it ("" if there is none).
`warnings`
    Sentences.
`counts`
    `sections`: stitches by section, those with rows only, in the order they are knitted; `total`.
    Slipped stitches are not counted, a join counts two.
`stitches`
    One object for each letter that a row uses: `letter`, `name`, `meaning`, `drawn` (stitches it
    adds to the count).
`events`
    The whole sock in the order it is made.  Each has `kind`, `section` and `after`, the loom after
    it: `yarn_peg` (null once the yarn is used up), `live_pegs`, `loops` (on pegs), `held_near`,
    `held_far`, `on_front`, `on_back`.  What else it has goes by its kind:

    "row"
        `number` (0 for pegs worked on to where the next section starts), `direction` ("up" or
        "down" in peg numbers), `to_right` (as the knitter sees it), `pegs` in the order that the
        yarn visits them, `stitches` (text, one letter for each of those pegs), `count`.
    "cast on"
        `pegs`.
    "hold"
        `holder` ("near" or "far" from where the round starts) and `pegs`, as they go on.
    "hang back"
        `holder`, `edge_peg` (where the edge loops were slipped), `pegs`, oldest loop first.
    "lift bar"
        `peg`, and `between`, the two pegs that the bar runs between.
    "move loop"
        `from_peg`, `to_peg`.
    "take off"
        `needle` ("front" or "back"), `pegs` as they go on.
    "graft"
        `pairs`, each a front peg and a back peg, and `passes` of the needle.
`parts`
    What is printed with one chart, in order: `part` (the word of the command line), `title`,
    `sections`, `starts` and `ends` (what the knitter must find), `counting`, and `steps`.  A step
    has `kind` and `text`.  "row" has besides `section`, `label`, `first`, `last` (numbers of the
    rows it stands for), `to_right`, `count` (stitches in one such row); "repeat" has `section`,
    `label`, `first`, `last`, `like_first`, `like_last`, `times`; "move", "thread" (one
    tied to a loop, to count from) and "checkpoint" have no more.

A pattern with sizes is an object of `format`, "pegfolio sizes", `version`, and `sizes`: each with
`name` and `sock`, the object told above; smallest first.

A row, as it is written::

    {"kind": "row", "section": "partial row", "number": 1, "direction": "up", "to_right": true,
     "pegs": [1, 2, 3, 4, 5, 6], "stitches": "skkkkk", "count": 5,
     "after": {"yarn_peg": 6, "live_pegs": 24, "loops": 24, "held_near": 0, "held_far": 0,
               "on_front": 0, "on_back": 0}}
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Final

from charts.loom import UP
from charts.rows import CastOn, Event, Graft, Hold, LiftBar, Move, Rehang, Row, Shift, TakeOff
from charts.spec import SockSpec
from charts.steps import (
    Checkpoint,
    MoveStep,
    PartSteps,
    RepeatStep,
    RowStep,
    Step,
    ThreadStep,
    make_steps,
)
from charts.stitches import STITCHES, drawn_in
from charts.verify import Knit
from charts.virtual_loom import State

if TYPE_CHECKING:
    from charts.feet import Foot
    from charts.fitting import FittedSpec
    from charts.gauge import GaugeReading
    from charts.sizes import Size
    from charts.yarn_figures import YarnFigures
    from charts.yarn_need import YarnNeed

FORMAT: Final = "pegfolio sock"
SIZES_FORMAT: Final = "pegfolio sizes"
VERSION: Final = 1

Json = dict[str, Any]


def sock_data(knit: Knit, *, fitted: FittedSpec | None = None, second: Knit | None = None) -> Json:
    """The sock as the object told above: dicts, lists, text, numbers, true, false and None only.

    `fitted` tells of wearer and gauge; `second` is the other sock, if it is not alike.
    """
    plan, spec = knit.plan, knit.plan.spec
    counts = {section.value: count for section, count in knit.counts.items()}
    events = zip(knit.rows.events, knit.trace.states, strict=True)
    return {
        "format": FORMAT,
        "version": VERSION,
        **_spec_data(spec),
        **_fit_data(knit, second or knit, fitted),
        "plan": [
            {"name": line.name, "value": line.value, "reason": line.reason, "key": line.key}
            for line in plan.lines
        ],
        "warnings": list(plan.warnings),
        "counts": {"sections": counts, "total": sum(counts.values())},
        "stitches": _stitches_data(knit),
        "events": [_event_data(event, after, knit) for event, after in events],
        "parts": [_part_data(steps) for steps in make_steps(knit)],
    }


def data_json(knit: Knit, *, fitted: FittedSpec | None = None, second: Knit | None = None) -> str:
    """The sock as JSON text (RFC 8259), one event, step or plan line a line; ends with a line end.

    Letters outside ASCII stand as they are: write it as UTF-8.
    """
    return _object_text(sock_data(knit, fitted=fitted, second=second)) + "\n"


def sizes_json(sizes: Sequence[Size]) -> str:
    """The sizes as JSON text, as `data_json` writes one."""
    socks = ",\n".join(
        f'{{"name": {_text(size.name)}, "sock": '
        + _object_text(sock_data(size.knit, fitted=size.fitted, second=size.second))
        + "}"
        for size in sizes
    )
    head = f'"format": {_text(SIZES_FORMAT)},\n"version": {VERSION}'
    return f'{{\n{head},\n"sizes": [\n{socks}\n]\n}}\n'


def _object_text(found: Json) -> str:
    members = (f"{_text(name)}: {_member_text(value, '  ')}" for name, value in found.items())
    return "{\n" + ",\n".join(members) + "\n}"


def _member_text(value: Any, indent: str) -> str:
    """A list of objects with each on a line of its own; anything else on one line."""
    if not isinstance(value, list) or not value or not isinstance(value[0], dict):
        return _text(value)
    items = []
    for item in value:
        if "steps" in item:
            inside = indent + "  "
            rest = _text({name: part for name, part in item.items() if name != "steps"})
            steps = _member_text(item["steps"], inside)
            items.append(f'{indent}{rest[:-1]}, "steps": {steps}}}')
        else:
            items.append(indent + _text(item))
    return "[\n" + ",\n".join(items) + f"\n{indent[2:]}]"


def _text(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def _spec_data(spec: SockSpec) -> Json:
    loom, gauge = spec.loom, spec.gauge
    return {
        "title": spec.title,
        "designer": spec.designer,
        "notes": spec.notes,
        "units": spec.units.value,
        "knit": spec.knit,
        "yarn": spec.yarn,
        "loom": {
            "pegs": loom.pegs,
            "spacing_mm": loom.spacing_mm,
            "spacing": loom.spacing_text,
            "working": loom.working.value,
        },
        "gauge": gauge
        and {
            "stitches_per_10cm": gauge.stitches_per_10cm,
            "rows_per_10cm": gauge.rows_per_10cm,
        },
        "house": dict(vars(spec.house)),
    }


def _fit_data(knit: Knit, second: Knit, fitted: FittedSpec | None) -> Json:
    found: Json = dict.fromkeys(("wearer", "measures", "fit", "yarn_need"))
    if fitted is None:
        return found
    if fitted.foot is not None:
        found["wearer"] = _wearer_data(fitted.foot)
    if fitted.gauge is not None:
        from charts.yarn_figures import yarn_figures  # only needed where there is a gauge

        found["measures"] = _measures_data(knit, fitted.gauge)
        found["yarn_need"] = _yarn_data(yarn_figures(knit, second, fitted.gauge))
    if fitted.fit is not None:
        fit = fitted.fit
        found["fit"] = {
            "class": fit.fit_class.value,
            "may_be": [one.value for one in fit.may_be],
            "works": fit.works,
            "sentence": fit.sentence,
            "aim_mm": fit.aim.mm,
            "ease_round": fitted.ease.round_share,
            "ease_length": fitted.ease.length_share,
            "smaller": fit.smaller_share,
            "heel_stretch": fit.heel_stretch,
            "leg_stretch": fit.leg_stretch,
            "notes": list(fit.notes),
        }
    return found


_FOOT_MEASURES: Final = (
    "length",
    "ball",
    "ankle",
    "heel_ankle",
    "heel_width",
    "heel_height",
    "leg",
    "leg_height",
)


def _wearer_data(foot: Foot) -> Json:
    return {
        "measures": [
            {
                "name": name,
                "mm": measure.mm,
                "error_mm": measure.error_mm,
                "origin": measure.origin.value,
                "basis": measure.basis,
            }
            for name in _FOOT_MEASURES
            if (measure := getattr(foot, name)) is not None
        ],
        "notes": list(foot.notes),
    }


def _measures_data(knit: Knit, gauge: GaugeReading) -> Json:
    from charts.finished import finished_measures  # only needed where there is a gauge

    lengths = vars(finished_measures(knit, gauge))
    return {
        "gauge": {
            "stitches_per_10cm": gauge.stitches.per_10cm,
            "rows_per_10cm": gauge.rows.per_10cm,
            "stitches_error": gauge.stitches.share,
            "rows_error": gauge.rows.share,
            "source": gauge.source.value,
            "basis": gauge.basis,
        },
        **{
            name: {"mm": length.mm, "error_mm": length.error_mm} for name, length in lengths.items()
        },
    }


def _yarn_data(yarn: YarnFigures) -> Json:
    return {
        "loop_mm": yarn.loop.mm,
        "loop_low_mm": yarn.loop.low_mm,
        "loop_high_mm": yarn.loop.high_mm,
        "basis": yarn.loop.basis,
        "margin": yarn.pair.margin,
        "strands": yarn.pair.strands,
        "ball": yarn.ball
        and {"metres": yarn.ball.metres, "grams": yarn.ball.grams, "basis": yarn.ball_basis},
        "one_sock": _need_data(yarn.one),
        "pair": _need_data(yarn.pair),
        "parts": [
            {
                "section": part.section.value,
                "use": part.use.value,
                "count": part.count,
                "mm_each": part.mm_each,
            }
            for part in yarn.sock.parts
        ],
    }


def _need_data(need: YarnNeed) -> Json:
    return {
        "net_metres": need.net_metres,
        "metres": need.metres,
        "yards": need.yards,
        "grams": need.grams,
        "balls": need.balls,
    }


def _stitches_data(knit: Knit) -> list[Json]:
    used: set[str] = set()
    for event in knit.rows.events:
        if isinstance(event, Row):
            used.update(event.stitches)
    return [
        {
            "letter": stitch.letter,
            "name": stitch.name,
            "meaning": stitch.meaning,
            "drawn": stitch.drawn,
        }
        for stitch in STITCHES.values()
        if stitch.letter in used
    ]


def _event_data(event: Event, after: State, knit: Knit) -> Json:
    if isinstance(event, Row):
        found: Json = {
            "kind": "row",
            "section": event.section.value,
            "number": event.number,
            "direction": "up" if event.direction == UP else "down",
            "to_right": event.direction == knit.rows.loom.rightward,
            "pegs": list(event.pegs),
            "stitches": event.stitches,
            "count": drawn_in(event.stitches),
        }
    else:
        kind, members = _move_data(event)
        found = {"kind": kind, "section": event.section.value, **members}
    return {**found, "after": after._asdict()}


def _move_data(move: Move) -> tuple[str, Json]:
    match move:
        case CastOn(pegs=pegs):
            return "cast on", {"pegs": list(pegs)}
        case Hold(holder=holder, pegs=pegs):
            return "hold", {"holder": holder.value, "pegs": list(pegs)}
        case Rehang(holder=holder, edge_peg=edge_peg, pegs=pegs):
            members = {"holder": holder.value, "edge_peg": edge_peg, "pegs": list(pegs)}
            return "hang back", members
        case LiftBar(peg=peg, between=between):
            return "lift bar", {"peg": peg, "between": list(between)}
        case Shift(from_peg=from_peg, to_peg=to_peg):
            return "move loop", {"from_peg": from_peg, "to_peg": to_peg}
        case TakeOff(needle=needle, pegs=pegs):
            return "take off", {"needle": needle.value, "pegs": list(pegs)}
        case Graft(pairs=pairs):
            return "graft", {"pairs": [list(pair) for pair in pairs], "passes": move.passes}


def _part_data(steps: PartSteps) -> Json:
    return {
        "part": steps.part.value,
        "title": steps.part.title,
        "sections": [section.value for section in steps.part.sections],
        "starts": steps.starts.text,
        "ends": steps.ends.text,
        "counting": steps.counting,
        "steps": [_step_data(step) for step in steps.steps],
    }


def _step_data(step: Step) -> Json:
    match step:
        case RowStep():
            return {
                "kind": "row",
                "section": step.section.value,
                "label": step.label,
                "first": step.first,
                "last": step.last,
                "to_right": step.to_right,
                "text": step.text,
                "count": step.stitches,
            }
        case RepeatStep():
            return {
                "kind": "repeat",
                "section": step.section.value,
                "label": step.label,
                "first": step.first,
                "last": step.last,
                "like_first": step.like_first,
                "like_last": step.like_last,
                "times": step.times,
                "text": step.text,
            }
        case MoveStep():
            return {"kind": "move", "text": step.text}
        case ThreadStep():
            return {"kind": "thread", "text": step.text}
        case Checkpoint():
            return {"kind": "checkpoint", "text": step.text}
