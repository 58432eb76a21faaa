"""How far the flight is to go: by the clock on the wall, never making up for what could not be kept."""

from __future__ import annotations

from ramstill.live.world.moment import TICK_S

MOST_BEHIND_S = 0.25  # on the wall's clock; what is later than that is let go


class Clock:
    """Ticks that fall due while time passes, `pace` times as fast as on the wall.

    What the machine could not do in time is forgotten after a quarter of a second, so that nothing piles up:
    the flight is then slower than was asked for, and `kept` says how fast it really went.
    """

    def __init__(self, now_s: float) -> None:
        self.running, self.pace = False, 1.0
        self._last_s, self._owed = now_s, 0.0
        self.kept = 0.0

    def due(self, now_s: float) -> int:
        """How many ticks are to be made now."""
        passed, self._last_s = max(0.0, now_s - self._last_s), now_s
        if not self.running:
            self._owed = 0.0
            self.kept = 0.0
            return 0
        most = MOST_BEHIND_S * self.pace / TICK_S
        self._owed = min(self._owed + passed * self.pace / TICK_S, max(most, 1.0))
        return int(self._owed + 1e-9)

    def made(self, ticks: int, over_s: float) -> None:
        """So many were made; over_s: how long since they last were [s]."""
        self._owed = max(0.0, self._owed - ticks)
        if over_s > 0.0:
            share = min(over_s, 1.0)
            self.kept += share * (ticks * TICK_S / over_s - self.kept)

    def stand(self, now_s: float) -> None:
        """Owe nothing from now on: after work that took its time."""
        self._last_s, self._owed = now_s, 0.0
