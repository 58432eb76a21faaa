"""How often something may be done: messages on a connection, wrong guesses of a word or a key."""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass


@dataclass(slots=True)
class Allowance:
    """So many a second on the long run, and `most` at once.

    Times are those of any clock that does not go back [s].
    """

    per_s: float
    most: float
    left: float = -1.0
    seen_s: float = float("-inf")

    def take(self, now_s: float) -> bool:
        """Use one up, if there is one."""
        self._refill(now_s)
        if self.left < 1.0:
            return False
        self.left -= 1.0
        return True

    def has(self, now_s: float) -> bool:
        """Whether there is one, without using it up."""
        self._refill(now_s)
        return self.left >= 1.0

    def wait_s(self, now_s: float) -> float:
        """How long until there is one [s]."""
        self._refill(now_s)
        return max(0.0, (1.0 - self.left) / self.per_s)

    def _refill(self, now_s: float) -> None:
        if self.left < 0.0 or now_s - self.seen_s > self.most / self.per_s:
            self.left = self.most
        else:
            self.left = min(self.most, self.left + max(0.0, now_s - self.seen_s) * self.per_s)
        self.seen_s = max(self.seen_s, now_s)


class Guesses:
    """Wrong guesses, by address and of all together.

    An address has `most` wrong guesses at once and one more every `every_s` seconds; all of them together
    `most_of_all` and `per_s_of_all`. Whoever has not guessed wrong yet is not kept waiting by those who
    have, so that nobody can shut a class for the others. `remembered` addresses at most are kept.
    """

    def __init__(
        self,
        most: int = 5,
        every_s: float = 12.0,
        most_of_all: int = 60,
        per_s_of_all: float = 0.5,
        remembered: int = 1000,
    ) -> None:
        self._most, self._per_s, self._remembered = float(most), 1.0 / every_s, remembered
        self._all = Allowance(per_s_of_all, float(most_of_all))
        self._by: OrderedDict[str, Allowance] = OrderedDict()

    def wait_s(self, address: str, now_s: float) -> float:
        """How long an address has to wait before it may guess [s]; 0 where it may."""
        own = self._by.get(address)
        if own is None:
            return 0.0
        return max(own.wait_s(now_s), self._all.wait_s(now_s))

    def wrong(self, address: str, now_s: float) -> None:
        """Note a wrong guess."""
        own = self._by.setdefault(address, Allowance(self._per_s, self._most))
        self._by.move_to_end(address)
        own.take(now_s)
        self._all.take(now_s)
        while len(self._by) > self._remembered:
            self._by.popitem(last=False)
