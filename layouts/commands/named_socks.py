"""The socks that a command prints: one, or that of every size of a pattern."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from charts.parts import Part, parts_of
from charts.verify import Knit
from layouts.commands.options import chosen_sock, refuse_missing_part, warn, warn_sizes
from layouts.commands.pattern import (
    AS_WRITTEN,
    Asked,
    SizedFile,
    has_sizes,
    open_text,
    path_of,
    read_text,
    sizes_of,
)

if TYPE_CHECKING:
    from charts.sizes import Size


@dataclass(frozen=True)
class NamedSock:
    """One sock, and the size that it is; empty for a pattern without sizes."""

    size: str
    knit: Knit


@dataclass(frozen=True)
class NamedSocks:
    """Socks of one file, smallest first."""

    title: str
    socks: tuple[NamedSock, ...]
    """None if every size failed."""
    sized: SizedFile | None = None
    """Where every size was asked for."""

    def with_part(self, part: Part) -> tuple[NamedSock, ...]:
        """Those that have the part.  Raises Refusal if there is none."""
        found = tuple(one for one in self.socks if part in parts_of(one.knit))
        if not found and self.socks:
            refuse_missing_part(self.socks[0].knit, part)
        return found

    def refuse_failed(self) -> None:
        """Raises Refusal if a size failed; what is good has been handed out before."""
        if self.sized is not None:
            self.sized.refuse_failed()


def open_socks(
    file: str, *, size: str | None, sock: int | None, asked: Asked = AS_WRITTEN
) -> NamedSocks:
    """The sock of a file, the size asked for, or one of each size; warnings on standard error.

    `sock` is 2 for the other one of a pair, `asked` what the options ask otherwise than the file.
    Raises Refusal with every problem found.
    """
    name, text = read_text(file)
    if size is None and has_sizes(name, text):
        sized = sizes_of(name, path_of(file), text, asked=asked)
        warn_sizes(sized)
        return NamedSocks(_title(sized.pattern.sizes), named_socks(sized, sock), sized)
    pattern = open_text(name, path_of(file), text, size=size, asked=asked)
    warn(pattern)
    knit = chosen_sock(pattern, sock)
    return NamedSocks(knit.plan.spec.title, (NamedSock(pattern.size, knit),))


def _title(sizes: Sequence[Size]) -> str:
    return sizes[0].knit.plan.spec.title if sizes else ""


def named_socks(sized: SizedFile, sock: int | None) -> tuple[NamedSock, ...]:
    """The first or the second sock of every size."""
    return tuple(
        NamedSock(one.name, one.second if sock == 2 else one.knit) for one in sized.pattern.sizes
    )


def titled(knit: Knit, title: str) -> Knit:
    """The same sock under another title, knitted and proved again."""
    from charts.knitted import knit_sock

    return knit_sock(replace(knit.plan.spec, title=title))
