"""The room: one flight, everyone who looks at it, what is kept of it. It goes on by itself, beat by beat."""

from __future__ import annotations

import asyncio
import logging
import time
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ramstill.errors import InputError
from ramstill.live import says
from ramstill.live.clock import Clock
from ramstill.live.frames import ENDED, HELD, RUNNING, frame
from ramstill.live.hearing import hear_seat
from ramstill.live.line import Line, written
from ramstill.live.schoolroom import SHARED
from ramstill.live.store import Entry, Kind
from ramstill.live.world.moment import TICK_S

if TYPE_CHECKING:
    from concurrent.futures import Future

    from ramstill.live.desk import Desk
    from ramstill.live.keeping import Kept

Array = NDArray[np.float64]
BUSY_S = 0.035  # of each beat at most goes to flying: pages are to be heard as well
LIVELY, SLOWLY = 5, 20  # beats between looks at what changed in the class, and between notes of where it is
TAKEN_OVER, OVER = 4409, 4410  # close codes
log = logging.getLogger("ramstill.live")


class Room:
    """What is flown, who sees it, and where it is kept.

    kept: the session, new or taken up again; url: where learners come in; on_network: whether others than
    this machine can. Everything happens on one event loop, but for what takes long, in a thread: whoever
    changes the flight or reads it holds `turn`, or does so between two beats without waiting.
    """

    def __init__(self, kept: Kept, url: str, on_network: bool) -> None:
        from ramstill.live.desk import Desk

        self.kept, self.url, self.on_network = kept, url, on_network
        self.deck, self.school = kept.deck, kept.school
        self.clock = Clock(time.monotonic())
        self.clock.running, self.clock.pace = kept.running, kept.pace
        self.turn = asyncio.Lock()
        self.changed = True  # something is to be shown although no tick was made
        self.roll_changed = True
        self._benches: set[Line] = set()
        self._seats: dict[str, Line] = {}
        self._held: dict[str, tuple[int, float, Array]] = {}
        self._told: object = None
        self._force = ""
        self._desk: Desk = Desk(self)
        self.hold()

    # who is there

    async def enter_bench(self, line: Line) -> None:
        """An instructor's page that has shown the key."""
        self._benches.add(line)
        async with self.turn:
            for text in self._desk.everything():
                line.say(text)
            line.show(self._bench_frame())

    async def enter_seat(self, line: Line, seat: str) -> None:
        """A learner's page that has shown its token, in the place of an older one."""
        before = self._seats.get(seat)
        if before is not None:
            before.close(TAKEN_OVER)
        self._seats[seat] = line
        self.roll_changed = True
        async with self.turn:
            self.stage_seat(seat)

    def stage_seat(self, seat: str) -> None:
        """Give a learner's page everything afresh."""
        line = self._seats.get(seat)
        if line is None:
            return
        line.say_stage(self.deck.looks.seat_stage(self.school.seats[seat].name, self.school.revealed))
        line.say(written(says.asked(self.school)))
        line.say(written(says.called(self.school.call_of(seat))))
        line.say(written({"say": "held", "on": self.school.held}))
        line.say(self.revealed_to(seat))
        line.show(self._seat_frame(self.school.craft_of(seat)))

    def leave(self, line: Line) -> None:
        """A page that has gone."""
        self._benches.discard(line)
        for seat, one in list(self._seats.items()):
            if one is line:
                del self._seats[seat]
                self.roll_changed = True

    @property
    def here(self) -> frozenset[str]:
        """The seats whose page is there."""
        return frozenset(self._seats)

    # what is said

    async def hear_bench(self, line: Line, message: Any) -> None:
        """Follow what the instructor's page says, or say why not."""
        await self._desk.hear(line, message)

    async def hear_seat(self, line: Line, seat: str, message: Any) -> None:
        """Follow what a learner's page says, or say why not."""
        await hear_seat(self, line, seat, message)

    async def join(self, name: str) -> dict[str, Any]:
        """A new seat: its token, once it lasts. InputError where the class is full."""
        token, said = self.school.joining(name)
        await self.lasting(self.keep(self.entry("class", said)))
        self.roll_changed = True
        return {"token": token, "seat": said["seat"]}

    def tell_benches(self, text: str) -> None:
        """Say something to every instructor's page."""
        for line in self._benches:
            line.say(text)

    def tell_benches_afresh(self, stage: str) -> None:
        """Say what gives frames another meaning to every instructor's page."""
        for line in self._benches:
            line.say_stage(stage)

    def tell_seats(self, text: str) -> None:
        """Say something to every learner's page."""
        for line in self._seats.values():
            line.say(text)

    def tell_seat(self, seat: str, text: str) -> None:
        """Say something to a learner's page, if it is there."""
        if seat in self._seats:
            self._seats[seat].say(text)

    def dismiss(self) -> None:
        """The class is over: learners' pages are told so and let go."""
        for line in list(self._seats.values()):
            line.say(written({"say": "over"}))
            line.close(OVER)

    def note(self, text: str) -> None:
        """Tell the instructor something that is no answer."""
        self.tell_benches(written({"say": "note", "text": text}))

    def revealed_to(self, seat: str) -> str:
        """What a learner is let see beyond the panel."""
        shown = self.deck.looks.revealed(self.school.craft_of(seat), self.school.revealed)
        return written({"say": "revealed", "what": list(self.school.revealed), **shown})

    def hold(self) -> None:
        """Keep what learners see now, if they are held."""
        held = self.school.open and self.school.held
        crafts = {SHARED, *self.school.own.values()} if held else set()
        deck = self.deck
        self._held = {craft: (deck.tick, deck.now_s, deck.looks.whole(craft)) for craft in crafts}

    def seen_s(self, seat: str) -> float:
        """The moment that a learner looks at [s]: now, or the one that is held."""
        held = self._held.get(self.school.craft_of(seat)) if self.school.held else None
        return self.deck.now_s if held is None else held[1]

    # what is kept

    def entry(self, kind: Kind, said: Mapping[str, Any]) -> Entry:
        """What is to be done here and now."""
        return Entry(kind, time.time(), self.deck.tick, self.deck.now_s, said)

    def keep(self, entry: Entry) -> Future[None]:
        """Let something happen in the class, or note what happened to the flight; done once it lasts."""
        if entry.kind == "class":
            self.school.take(entry)
        return self.kept.add(entry)

    async def lasting(self, done: Future[None]) -> None:
        """Wait until something lasts. Raises InputError where it could not be kept."""
        try:
            await asyncio.wrap_future(done)
        except Exception as error:
            raise InputError(
                str(self.kept.store.path), "", str(error), "a session that can be kept"
            ) from None

    def note_place(self) -> None:
        """Note where the flight has come to, for a server that is killed."""
        self.kept.note_place(self.deck.tick, self.clock.running, self.clock.pace)

    # going on

    async def run(self) -> None:
        """Beat for ever: for a task of its own.

        The clock is told when a beat was due, not when it came: a beat that is a little late is one tick all
        the same, and no page misses one. Beats that were missed are one that owes more.
        """
        due, beats = time.monotonic(), 0
        last = due
        while True:
            due += TICK_S * max(1, int((time.monotonic() - due) / TICK_S))
            await asyncio.sleep(max(0.0, due - time.monotonic()))
            now = time.monotonic()
            if self.turn.locked():  # something is being worked out: time stands still for it
                self.clock.stand(due)
                last = now
                continue
            try:
                self._beat(due, now - last)
                beats += 1
                if beats % LIVELY == 0:
                    self._tell_news()
                if beats % SLOWLY == 0:
                    self._desk.each_second()
            except Exception as error:  # a class goes on, whatever one beat came to
                self._stopped(error)
            last = now

    def _beat(self, at_s: float, since_s: float) -> None:
        """One beat, due at a time: fly what is due, show it."""
        clock, deck = self.clock, self.deck
        due, made, until = clock.due(at_s), 0, time.monotonic() + BUSY_S
        while made < due and not deck.ended:
            deck.step()
            made += 1
            if time.monotonic() > until:
                break
        clock.made(made, since_s)
        if clock.running and deck.ended:
            clock.running, self.changed = False, True
        if made or self.changed:
            self.changed = False
            self._show()

    def _stopped(self, error: Exception) -> None:
        """The flight cannot go on: say so once, and stand still."""
        self.clock.running, self.changed = False, True
        reason = error.line() if isinstance(error, InputError) else f"{type(error).__name__}: {error}"
        if not isinstance(error, InputError):
            log.error("the flight stopped: %s", reason, exc_info=log.isEnabledFor(logging.DEBUG))
        self.note(f"The flight stands still: {reason}")

    def _show(self) -> None:
        """The newest frames to everyone: each craft's is made once."""
        if self._benches:
            newest = self._bench_frame()
            for line in self._benches:
                line.show(newest)
        if self.school.held or not self.school.open:
            return
        made: dict[str, bytes] = {}
        for seat, line in self._seats.items():
            craft = self.school.craft_of(seat)
            if craft not in made:
                made[craft] = self._seat_frame(craft)
            line.show(made[craft])

    def _flags(self) -> int:
        running = RUNNING if self.clock.running else 0
        return running | (ENDED if self.deck.ended else 0) | (HELD if self.school.held else 0)

    def _bench_frame(self) -> bytes:
        pace = self.clock.kept if self.clock.running else self.clock.pace
        return frame(self.deck.tick, self._flags(), self.deck.now_s, self.deck.looks.bench_figures(pace))

    def _seat_frame(self, craft: str) -> bytes:
        deck, revealed = self.deck, self.school.revealed
        if self.school.held and craft in self._held:
            tick, at_s, whole = self._held[craft]
            return frame(tick, self._flags(), at_s, deck.looks.of_whole(whole, revealed))
        return frame(deck.tick, self._flags(), deck.now_s, deck.looks.seat_figures(craft, revealed))

    def _tell_news(self) -> None:
        """What changed on the roll and the time line since it was last told."""
        if self.roll_changed:
            self.roll_changed = False
            self.tell_benches(self._desk.roll())
        if self._benches and self.deck.mode == "ground":
            force = self._desk.force()
            if force != self._force:
                self._force = force
                self.tell_benches(force)
        if self._benches:
            told = self.deck.looks.news()
            if told != self._told:
                self._told = told
                self.tell_benches(self._desk.timeline())

    async def end(self) -> None:
        """The server goes: save what was flown, close the file."""
        self.note_place()
        await asyncio.to_thread(self.kept.end, self.deck)
