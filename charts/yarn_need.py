"""What to buy and how to share it: metres, yards, grams and balls for socks of one yarn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor

from charts.yarn import MARGIN, YARD_M, SockYarn
from charts.yarn_weights import YarnWeight


@dataclass(frozen=True)
class Ball:
    """A ball as its band describes it."""

    metres: float
    grams: float
    is_estimate: bool = False
    """The metres are the weight category's, not the band's."""

    def __post_init__(self) -> None:
        if min(self.metres, self.grams) <= 0:
            raise ValueError("a ball has metres and grams above zero")

    @property
    def metres_per_100g(self) -> float:
        return 100 * self.metres / self.grams


def ball_of_weight(weight: YarnWeight, *, grams: float = 50) -> Ball:
    """A ball of the category's usual metres: common practice, and sources differ widely."""
    return Ball(weight.metres_per_100g * grams / 100, grams, is_estimate=True)


@dataclass(frozen=True)
class BallShare:
    """One sock's share of the balls."""

    whole: int
    part_grams: float
    """From the ball that is divided; 0 if none is."""


@dataclass(frozen=True)
class YarnNeed:
    """The yarn of the socks, with something in hand."""

    socks: tuple[SockYarn, ...]
    margin: float
    """Share added to the computed length."""
    strands: int
    """How many strands are knitted as one."""
    ball: Ball | None

    @property
    def net_metres(self) -> float:
        """As computed, nothing in hand."""
        return self.strands * sum(sock.metres for sock in self.socks)

    @property
    def metres(self) -> float:
        """With the margin."""
        return (1 + self.margin) * self.net_metres

    @property
    def yards(self) -> float:
        return self.metres / YARD_M

    @property
    def grams(self) -> float | None:
        """None if the ball is not known."""
        return None if self.ball is None else self._grams(self.metres)

    @property
    def balls(self) -> int | None:
        """Whole balls; None if the ball is not known."""
        return None if self.ball is None else whole_balls(self.metres / self.ball.metres)

    @property
    def shares(self) -> tuple[BallShare, BallShare] | None:
        """How two socks share the balls; None for any other number of socks or an unknown ball."""
        if self.ball is None or self.balls is None or len(self.socks) != 2:
            return None
        first, second = (
            self._grams(self.strands * (1 + self.margin) * sock.metres) for sock in self.socks
        )
        return share_balls((first, second), ball_grams=self.ball.grams, balls=self.balls)

    def _grams(self, metres: float) -> float:
        assert self.ball is not None
        return metres * self.ball.grams / self.ball.metres


def yarn_need(
    socks: Sequence[SockYarn],
    *,
    ball: Ball | None = None,
    margin: float = MARGIN,
    strands: int = 1,
) -> YarnNeed:
    """What these socks take: give one sock, or both of a pair.

    Raises ValueError for no sock, a margin below zero or no strand.
    """
    if not socks or margin < 0 or strands < 1:
        raise ValueError("yarn is for a sock or more, a margin from 0 and a strand or more")
    return YarnNeed(tuple(socks), margin, strands, ball)


def whole_balls(balls: float) -> int:
    """Rounded up; a thousandth of a ball too few is let pass.

    >>> whole_balls(2.0005), whole_balls(2.01)
    (2, 3)
    """
    return ceil(balls - 0.001)


def whole_up(amount: float) -> int:
    """Metres, yards or grams to buy, rounded up: what is told must be enough, wherever it is told.

    >>> whole_up(254.2), whole_up(254.0)
    (255, 254)
    """
    return ceil(amount - 1e-6)


def share_balls(
    needs_grams: tuple[float, float], *, ball_grams: float, balls: int
) -> tuple[BallShare, BallShare]:
    """Each sock's whole balls and its part of the one ball that must be divided, if one must.

    What is over is halved between them.  Raises ValueError if the balls are too few.

    >>> share_balls((60, 60), ball_grams=50, balls=3)
    (BallShare(whole=1, part_grams=25.0), BallShare(whole=1, part_grams=25.0))
    """
    first, second = needs_grams
    over = balls * ball_grams - first - second
    if over < -0.002 * ball_grams:
        raise ValueError(f"{balls} balls of {ball_grams:g} g are too few")
    whole = whole_balls(first / ball_grams)
    others = whole_balls(second / ball_grams)
    if whole + others <= balls:
        spare = balls - whole - others
        whole += spare // 2
        return BallShare(whole, 0.0), BallShare(balls - whole, 0.0)
    whole = floor(first / ball_grams)
    others = balls - 1 - whole
    least = first - whole * ball_grams
    most = ball_grams - (second - others * ball_grams)
    part = (least + most) / 2
    return BallShare(whole, part), BallShare(others, ball_grams - part)
