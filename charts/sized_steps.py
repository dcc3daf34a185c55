"""The steps and the plan of one pattern in several sizes, merged so that each size can follow them.

Steps of one form stand in one line, whatever their numbers; the narrowing rows of a toe stand with
narrowing rows and the widening ones with widening ones, so that rows a size does not have stand
alone, with the sizes that have them named.  Where rows of a leg or foot are too different to share
lines (another panel, say) each group of sizes has a block of its own.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from itertools import combinations, zip_longest
from typing import Final, TypeVar

from charts.parts import Part, parts_of
from charts.plan import Plan, PlanLine
from charts.rows import Graft, Section
from charts.sized_words import (
    NO_VALUE,
    SizedText,
    form_of,
    merge_texts,
    same_forms,
    sized,
    sized_text,
)
from charts.steps import (
    Checkpoint,
    MoveStep,
    PartSteps,
    RepeatStep,
    RowStep,
    Step,
    ThreadStep,
    make_part_steps,
)
from charts.verify import Knit


@dataclass(frozen=True)
class SizedStep:
    """One step of some sizes, or of all."""

    own: tuple[Step | None, ...]
    """Each size's own step, all of one kind; `None` for a size without it."""
    only: str
    """ "size L only", "sizes M (L) only"; empty if all sizes have the step."""
    label: SizedText
    """ "Rows 4–13 (4–15, 4–17)"; an en dash for a size without such a row; empty for no row."""
    arrow: SizedText
    """ "→", or "→ (←)" where the looms are worked either way; empty for all but spelt-out rows."""
    text: SizedText
    count: SizedText
    """ "18 (20, 22) stitches" for rows whose count is worth printing."""
    pairs: tuple[SizedText, ...]
    """The pairs of a graft, "3+4 (2+3)", for a tick box each; an en dash for a size with fewer."""

    @property
    def box_counts(self) -> tuple[int, ...]:
        """Tick boxes of each size, without those of pairs."""
        return tuple(
            0 if step is None or isinstance(step, Checkpoint) else step.boxes for step in self.own
        )

    @property
    def boxes(self) -> int:
        """The most tick boxes of any size."""
        return max(self.box_counts)

    @property
    def boxes_text(self) -> str:
        """ "10 (12, 14) boxes" where the sizes that have the step differ, else empty."""
        if len({count for count in self.box_counts if count}) < 2:
            return ""
        return f"{sized([count or NO_VALUE for count in self.box_counts])} boxes"


@dataclass(frozen=True)
class SizedNote:
    """A sentence that is no step, for some sizes or all."""

    sizes: tuple[int, ...]
    """Indices of the sizes that it is for."""
    only: str
    text: SizedText


@dataclass(frozen=True)
class SizedPartSteps:
    """The steps of one part."""

    part: Part
    sizes: tuple[int, ...]
    """Indices of the sizes that have the part."""
    only: str
    starts: tuple[SizedNote, ...]
    """What the knitter must find; more than one where the sizes' sentences are too different."""
    steps: tuple[SizedStep, ...]
    ends: tuple[SizedNote, ...]
    counting: tuple[SizedNote, ...]


@dataclass(frozen=True)
class SizedLine:
    """One number of the plan."""

    own: tuple[PlanLine | None, ...]
    only: str
    name: str
    value: SizedText
    reasons: tuple[SizedNote, ...]
    key: str


@dataclass(frozen=True)
class _Sizes:
    """What is the same for everything that is merged."""

    names: tuple[str, ...]
    mark: int | None

    def only(self, own: Sequence[object | None]) -> str:
        """The sizes that have it, in words; empty for all."""
        there = [name for name, one in zip(self.names, own, strict=True) if one is not None]
        if len(there) == len(self.names):
            return ""
        return f"size{'s' if len(there) > 1 else ''} {sized(there)} only"

    def merged(self, texts: Sequence[str | None], *, gaps: bool = False) -> SizedText:
        return merge_texts(texts, mark=self.mark, gaps=gaps)

    def notes(self, texts: Sequence[str | None]) -> tuple[SizedNote, ...]:
        """The texts as few notes as can be."""
        notes = []
        for sizes in same_forms(texts):
            own = [text if index in sizes else None for index, text in enumerate(texts)]
            notes.append(SizedNote(sizes, self.only(own), self.merged(own)))
        return tuple(notes)


def make_sized_steps(
    knits: tuple[Knit, ...], names: tuple[str, ...], *, mark: int | None = None
) -> tuple[SizedPartSteps, ...]:
    """The steps of every part that any of the socks has.

    `names` are the sizes' names, smallest first; `mark` is the index of the size whose numbers are
    marked.  Raises ValueError if the names are not one a sock, or not all different.
    """
    made = (make_sized_part_steps(knits, names, part, mark=mark) for part in Part)
    return tuple(one for one in made if one is not None)


def make_sized_part_steps(
    knits: tuple[Knit, ...], names: tuple[str, ...], part: Part, *, mark: int | None = None
) -> SizedPartSteps | None:
    """The steps of one part; None if none of the socks has it.

    Arguments and errors as for `make_sized_steps`.
    """
    sizes = _sizes(len(knits), names, mark)
    own = [make_part_steps(knit, part) if part in parts_of(knit) else None for knit in knits]
    if not any(own):
        return None
    rightward = [knit.plan.loom.rightward > 0 for knit in knits]
    return _sized_part(sizes, part, own, rightward)


def make_sized_lines(
    plans: tuple[Plan, ...], names: tuple[str, ...], *, mark: int | None = None
) -> tuple[SizedLine, ...]:
    """The numbers of the plans, each with its reasons.

    Arguments and errors as for `make_sized_steps`.
    """
    sizes = _sizes(len(plans), names, mark)
    columns = _aligned(
        [plan.lines for plan in plans], [[line.name for line in plan.lines] for plan in plans]
    )
    return tuple(_sized_line(sizes, own) for own in columns)


def _sizes(count: int, names: tuple[str, ...], mark: int | None) -> _Sizes:
    if not count == len(names) == len(set(names)) > 0:
        raise ValueError(f"{count} sizes and the names {names}")
    if mark is not None and not 0 <= mark < count:
        raise ValueError(f"no size {mark} to mark among {count}")
    return _Sizes(names, mark)


def _sized_line(sizes: _Sizes, own: Sequence[PlanLine | None]) -> SizedLine:
    values = [None if line is None else line.value for line in own]
    there = [line for line in own if line is not None]
    value = (
        sizes.merged(values)
        if len(same_forms(values)) == 1
        else sized_text([NO_VALUE if text is None else text for text in values], mark=sizes.mark)
    )
    return SizedLine(
        tuple(own),
        sizes.only(own),
        there[0].name,
        value,
        sizes.notes([None if line is None else line.reason for line in own]),
        there[0].key,
    )


def _sized_part(
    sizes: _Sizes, part: Part, own: Sequence[PartSteps | None], rightward: Sequence[bool]
) -> SizedPartSteps:
    steps = [() if one is None else one.steps for one in own]
    keys = list(map(_keys, steps, rightward))
    columns = _blocks_apart(_aligned(steps, keys))
    return SizedPartSteps(
        part,
        tuple(index for index, one in enumerate(own) if one is not None),
        sizes.only(own),
        sizes.notes([None if one is None else one.starts.text for one in own]),
        tuple(_sized_step(sizes, column) for column in columns),
        sizes.notes([None if one is None else one.ends.text for one in own]),
        sizes.notes([None if one is None else one.counting for one in own]),
    )


def _sized_step(sizes: _Sizes, own: Sequence[Step | None]) -> SizedStep:
    def merged(texts: Sequence[str], *, gaps: bool = False) -> SizedText:
        return sizes.merged([text or None for text in texts], gaps=gaps) if any(texts) else _EMPTY

    return SizedStep(
        tuple(own),
        sizes.only(own),
        merged(
            [one.label if isinstance(one, RowStep | RepeatStep) else "" for one in own], gaps=True
        ),
        merged([_arrow(one) for one in own]),
        merged(["" if one is None else one.text for one in own]),
        merged([_count(one) for one in own]),
        tuple(merged(pairs, gaps=True) for pairs in zip_longest(*map(_pairs, own), fillvalue="")),
    )


_EMPTY: Final = SizedText(())


def _arrow(step: Step | None) -> str:
    if not isinstance(step, RowStep):
        return ""
    return "→" if step.to_right else "←"


def _count(step: Step | None) -> str:
    if not isinstance(step, RowStep) or not step.shaped:
        return ""
    return f"{step.stitches} stitch" + ("" if step.stitches == 1 else "es")


def _pairs(step: Step | None) -> list[str]:
    if isinstance(step, MoveStep) and isinstance(step.move, Graft):
        return [f"{front}+{back}" for front, back in step.move.pairs]
    return []


# Alignment

_T = TypeVar("_T")
Column = tuple[_T | None, ...]
"""What stands in one line: an item of each size, or `None`."""


def _keys(steps: Sequence[Step], rightward: bool) -> list[Hashable]:
    """What two steps must have in common to share a line.

    `rightward` tells whether rows that run to the right go up in peg numbers.
    """
    keys: list[Hashable] = []
    after_move = False
    for step in steps:
        match step:
            case RowStep():
                # Rows of a toe are alike by what they do, all others by where they are as well.
                place: Hashable = (step.first, step.first == step.last)
                if step.section is Section.TOE:
                    place = "toe"
                elif after_move and step.first:
                    place = "after a move"
                up = step.to_right == rightward
                keys.append((step.section, up, step.shaped, place, form_of(step.text)))
            case RepeatStep():
                once = step.first == step.last
                keys.append((step.section, step.like_first, once, form_of(step.text)))
            case MoveStep(move=move, text=text):
                keys.append((type(move), form_of(text)))
            case ThreadStep():
                keys.append(("thread", form_of(step.text)))
            case Checkpoint():
                keys.append(("checkpoint", form_of(step.text)))
        after_move = isinstance(step, MoveStep | Checkpoint)
    return keys


def _aligned(items: Sequence[Sequence[_T]], keys: Sequence[Sequence[Hashable]]) -> list[Column[_T]]:
    """Columns of items with equal keys, every size's items in their order.

    Size by size the longest common sequence is found; of equally long ones that which pairs items
    the earliest, so that what a size does not have comes last.
    """
    columns: list[Column[_T]] = []
    heads: list[Hashable] = []
    for index, (more, more_keys) in enumerate(zip(items, keys, strict=True)):
        before: Column[_T] = (None,) * index
        joined: list[Column[_T]] = []
        joined_heads: list[Hashable] = []
        for here, there in _pairing(heads, more_keys):
            column = before if here is None else columns[here]
            joined.append((*column, None if there is None else more[there]))
            if here is not None:
                joined_heads.append(heads[here])
            elif there is not None:
                joined_heads.append(more_keys[there])
        columns, heads = joined, joined_heads
    return columns


def _pairing(
    heads: Sequence[Hashable], keys: Sequence[Hashable]
) -> list[tuple[int | None, int | None]]:
    """Indices into both sequences, equal items paired."""
    common = [[0] * (len(keys) + 1) for _ in range(len(heads) + 1)]
    for here in reversed(range(len(heads))):
        for there in reversed(range(len(keys))):
            common[here][there] = (
                common[here + 1][there + 1] + 1
                if heads[here] == keys[there]
                else max(common[here + 1][there], common[here][there + 1])
            )
    pairs: list[tuple[int | None, int | None]] = []
    here = there = 0
    while here < len(heads) or there < len(keys):
        if here < len(heads) and there < len(keys) and heads[here] == keys[there]:
            pairs.append((here, there))
            here, there = here + 1, there + 1
        elif there == len(keys) or (
            here < len(heads) and common[here + 1][there] >= common[here][there + 1]
        ):
            pairs.append((here, None))
            here += 1
        else:
            pairs.append((None, there))
            there += 1
    return pairs


# Blocks


def _blocks_apart(columns: list[Column[Step]]) -> list[Column[Step]]:
    """The columns with rows that go to and fro between sizes put into a block for each group."""
    out: list[Column[Step]] = []
    rows: list[Column[Step]] = []
    for column in columns:
        if any(isinstance(step, RowStep | RepeatStep) for step in column):
            rows.append(column)
            continue
        out += _rows_apart(rows)
        out.append(column)
        rows = []
    return out + _rows_apart(rows)


def _rows_apart(columns: list[Column[Step]]) -> list[Column[Step]]:
    """Sizes are apart where each of two has a row that the other has not, between shared rows."""
    everyone = frozenset[int]().union(*map(_who, columns))
    tangled: list[int] = []
    gap: list[int] = []
    for index, column in enumerate([*columns, None]):
        if column is not None and _who(column) != everyone:
            gap.append(index)
            continue
        if any(
            _who(columns[one]) - _who(columns[other]) and _who(columns[other]) - _who(columns[one])
            for one, other in combinations(gap, 2)
        ):
            tangled += gap
        gap = []
    if not tangled:
        return columns
    first, end = tangled[0], tangled[-1] + 1
    inside = columns[first:end]
    out = columns[:first]
    for group in _groups(inside, everyone):
        own = [
            tuple(step if index in group else None for index, step in enumerate(column))
            for column in inside
            if _who(column) & group
        ]
        out += _rows_apart(own)
    return out + columns[end:]


def _who(column: Column[Step]) -> frozenset[int]:
    """The sizes that have the step."""
    return frozenset(index for index, step in enumerate(column) if step is not None)


def _groups(columns: Sequence[Column[Step]], everyone: frozenset[int]) -> list[set[int]]:
    """The sizes in groups, the smallest first: those that share most rows that not all share.

    If that leaves them all together, only sizes with the very same of those rows make a group.
    """
    apart = [who for who in map(_who, columns) if who != everyone]
    rows = {size: {index for index, who in enumerate(apart) if size in who} for size in everyone}
    groups: list[set[int]] = []
    for size in sorted(everyone):
        for group in groups:
            first = rows[min(group)]
            if 2 * len(rows[size] & first) >= min(len(rows[size]), len(first)):
                group.add(size)
                break
        else:
            groups.append({size})
    if len(groups) > 1:
        return groups
    return [
        {other for other in everyone if rows[other] == rows[size]}
        for size in sorted(everyone)
        if not any(rows[other] == rows[size] for other in everyone if other < size)
    ]
