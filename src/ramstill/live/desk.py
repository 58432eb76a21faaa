"""What the instructor says, and what becomes of it."""

from __future__ import annotations

import asyncio
import logging
import time
from collections.abc import Callable, Mapping
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from ramstill.errors import InputError
from ramstill.live import messages, says
from ramstill.live.line import Line, refusal, written
from ramstill.live.looks import TRUTH, WALL
from ramstill.live.schoolroom import SHARED, Opening

if TYPE_CHECKING:
    from ramstill.live.room import Room

log = logging.getLogger("ramstill.live")

# What may fly many ticks again is done in a thread; the rest changes only what comes.
_SLOW = messages.MoveFault, messages.Drop, messages.Step, messages.Rewind, messages.Branch
_FAULTS = (
    messages.LayFault,
    messages.MoveFault,
    messages.Lift,
    messages.Drop,
    messages.Rewind,
    messages.Branch,
)
_NEW_TRAIL = messages.MoveFault, messages.Drop, messages.Rewind, messages.Branch


class Desk:
    """Hears every message of an instructor's page that was well formed."""

    def __init__(self, room: Room) -> None:
        self._room = room
        self._aside: set[asyncio.Task[None]] = set()  # what takes seconds, one of a kind at a time

    # what is said of the whole

    def everything(self) -> list[str]:
        """All that an instructor's page needs when it comes in."""
        stage = self._room.deck.looks.bench_stage()
        return [stage, self.class_now(), self.roll(), self.timeline(), self.levers(), self.strip()]

    def class_now(self) -> str:
        """The class, for the instructor's page."""
        room = self._room
        return written(says.class_now(room.school, room.url, room.on_network, time.time()))

    def roll(self) -> str:
        """The learners, for the instructor's page."""
        room = self._room
        return written(says.roll(room.school, room.here, room.deck.faults_of_crafts()))

    def timeline(self) -> str:
        """Faults, deeds and branches over time."""
        return written({"say": "timeline", **self._room.deck.looks.timeline()})

    def levers(self) -> str:
        """How the levers stand."""
        return written({"say": "levers", **self._room.deck.looks.levers()})

    def force(self) -> str:
        """What is held at the openings, and how near it brings each instrument to its limits."""
        return written({"say": "force", **self._room.deck.looks.force()})

    def strip(self) -> str:
        """What the strip charts have had so far."""
        return written({"say": "strip", **self._room.deck.looks.strip()})

    def each_second(self) -> None:
        """What is looked after once a second."""
        self._room.note_place()

    # the instructor

    async def hear(self, line: Line, message: Any) -> None:
        """Do what the instructor's page says; answer done, or refused and why."""
        try:
            if isinstance(message, messages.AccountOf | messages.Debrief):
                async with self._room.turn:
                    self._aside_for(line, message)
                return  # what comes of it is the answer
            await self._do(line, message)
        except InputError as error:
            line.say(refusal(message.id, error.line()))
        except Exception as error:
            log.error("%s failed: %s: %s", message.do, type(error).__name__, error)
            line.say(refusal(message.id, "this went wrong inside; nothing was done"))
        else:
            line.say(written({"say": "done", "id": message.id}))

    async def _do(self, line: Line, message: Any) -> None:
        match message:
            case messages.Enter():
                pass
            case messages.RunOn() | messages.Pace():
                self._run(message)
            case messages.Stage():
                await self._stage(message)
            case messages.Give():
                await self._give(message)
            case messages.Save():
                async with self._room.turn:
                    kept = await asyncio.to_thread(self._room.kept.save, self._room.deck, message.title)
                line.say(written({"say": "saved", "name": kept[0], "text": kept[1]}))
            case messages.Class() | messages.Ask() | messages.RevealTo() | messages.Hold():
                await self._class(message)
            case _:
                await self._fly(message)

    def _run(self, message: messages.RunOn | messages.Pace) -> None:
        clock = self._room.clock
        if isinstance(message, messages.Pace):
            clock.pace = message.times
            self._room.tell_benches(written({"say": "pace", "times": message.times}))
        elif message.on and self._room.deck.ended:
            raise InputError("run", "", "the end of the flight", "a rewind, or another flight")
        else:
            clock.running = message.on
        self._room.changed = True
        self._room.note_place()

    async def _fly(self, message: Any) -> None:
        """What changes the flight or the faults: done, noted, shown."""
        room = self._room
        async with room.turn:
            deck = room.deck
            entry = room.entry("world", message.model_dump(exclude={"id"}, exclude_unset=True))
            if isinstance(message, _SLOW) or deck.slow(entry.said):
                await asyncio.to_thread(deck.do, entry.said)
            else:
                deck.do(entry.said)
            room.keep(entry)
            if isinstance(message, _SLOW):
                room.clock.running = room.clock.running and not isinstance(message, messages.Step)
                room.note_place()
            room.changed = True
            if isinstance(message, messages.Press):
                room.tell_benches(self.force())
            else:
                room.tell_benches(self.levers())
            if not isinstance(message, messages.Press | messages.Levers):  # theirs follow soon enough
                room.tell_benches(self.timeline())
            if isinstance(message, _NEW_TRAIL):
                room.tell_benches(self.strip())
            if isinstance(message, _FAULTS):
                room.roll_changed = True
                self._reveal_again()

    async def _stage(self, message: messages.Stage) -> None:
        """Another flight: what was flown is saved, everyone looks at the new one."""
        room = self._room
        async with room.turn:
            room.clock.running = False
            said = message.model_dump(exclude={"id"}, exclude_unset=True)
            deck = await asyncio.to_thread(room.kept.begin, said)
            if room.deck.tick:
                await asyncio.to_thread(room.kept.save, room.deck, "")
            room.deck = room.kept.deck = deck
            room.keep(room.entry("world", said))
            room.note_place()
            own = list(room.school.own)
            if own:
                room.keep(room.entry("class", {"do": "sit", "seats": own, "craft": SHARED}))
            room.hold()
            for text in self.everything():
                room.tell_benches_afresh(text)
            for seat in room.here:
                room.stage_seat(seat)
            room.changed = True

    async def _give(self, message: messages.Give) -> None:
        """Sit one learner, or all, at a craft with faults of their own, or at the bench's."""
        room, school = self._room, self._room.school
        seats = list(school.seats) if message.seat == "all" else [message.seat]
        if not seats or any(seat not in school.seats for seat in seats):
            raise InputError("give", "seat", message.seat, "all, or a seat of this class")
        async with room.turn:
            craft = SHARED
            if message.faults != "bench":
                craft = f"c{room.kept.count}"
                faults = [part.model_dump(exclude_unset=True) for part in message.faults]
                entry = room.entry("world", {"do": "give", "craft": craft, "faults": faults})
                await asyncio.to_thread(room.deck.do, entry.said)
                room.keep(entry)
            room.keep(room.entry("class", {"do": "sit", "seats": seats, "craft": craft}))
            self._take_empty()
            room.hold()
            room.roll_changed = room.changed = True
            self._reveal_again()

    def _take_empty(self) -> None:
        """Crafts that nobody sits at are flown no more."""
        room = self._room
        there = set(room.school.own.values()) if room.school.open else set()
        for empty in sorted(set(room.deck.world.crafts) - there - {SHARED}):
            entry = room.entry("world", {"do": "take", "craft": empty})
            room.deck.do(entry.said)
            room.keep(entry)

    # the class

    async def _class(self, message: Any) -> None:
        """Open or close it, ask, reveal, hold."""
        room, school = self._room, self._room.school
        if not isinstance(message, messages.Class) and not school.open:
            raise InputError(message.do, "", "no class", "an open class")
        match message:
            case messages.Class(open=True):
                if school.open:
                    raise InputError("class", "open", "a class that is open", "to close it first")
                opening = Opening.now(time.time())
                await self._in_class({"do": "open", **asdict(opening)})
            case messages.Class():
                if school.open:
                    await self._in_class({"do": "close"})
                    async with room.turn:
                        self._take_empty()
                    room.dismiss()
            case messages.Ask():
                await self._in_class({"do": "ask"})
                async with room.turn:
                    self._stage_seats()
            case messages.RevealTo():
                before = set(school.revealed)
                await self._in_class(await self._revealing(message.what))
                others = bool((before ^ set(school.revealed)) & {WALL, TRUTH})  # figures are in the frames
                async with room.turn:
                    if others:
                        self._stage_seats()
                    else:
                        self._reveal_again()
            case messages.Hold():
                await self._in_class({"do": "hold", "on": message.on})
                async with room.turn:
                    room.hold()
                room.tell_seats(written({"say": "held", "on": message.on}))
        room.roll_changed = room.changed = True
        room.tell_benches(self.class_now())
        room.tell_seats(written(says.asked(school)))

    async def _in_class(self, said: Mapping[str, Any]) -> None:
        """Let it happen; wait until it lasts."""
        async with self._room.turn:
            done = self._room.keep(self._room.entry("class", said))
        await self._room.lasting(done)

    async def _revealing(self, what: str) -> dict[str, Any]:
        """What is kept of a reveal; with the faults the round ends, and what was flown is kept with it."""
        room, school = self._room, self._room.school
        said: dict[str, Any] = {"do": "reveal", "what": what}
        if what == "faults" and school.asked:
            async with room.turn:
                said["scenario"] = await asyncio.to_thread(room.deck.text, "")
            seats: dict[str, list[str]] = {}
            for seat, craft in school.own.items():
                seats.setdefault(craft, []).append(seat)
            said["panels"] = [{"seats": [], "faults": room.deck.faults_kept(SHARED)}]
            said["panels"] += [
                {"seats": there, "faults": room.deck.faults_kept(craft)} for craft, there in seats.items()
            ]
            said["way"] = room.deck.way()
        return said

    def _stage_seats(self) -> None:
        for seat in self._room.here:
            self._room.stage_seat(seat)

    def _reveal_again(self) -> None:
        """What is revealed may be another thing now."""
        room = self._room
        if room.school.revealed or room.school.rounds:
            for seat in room.here:
                room.tell_seat(seat, room.revealed_to(seat))

    # what takes seconds

    def _aside_for(self, line: Line, message: messages.AccountOf | messages.Debrief) -> None:
        """Work out an account or a debrief, aside from what is flown meanwhile."""
        room = self._room
        if isinstance(message, messages.AccountOf):
            job, about = room.deck.account(message.pointer), message.pointer

            def account() -> dict[str, Any]:
                return {"say": "account", "id": message.id, "pointer": about, **job()}

            self._start("account", line, message.id, account)
            return
        record = room.school.record(room.deck.title, room.deck.airplane.name)
        if not any(one.closed_s is not None for one in record.rounds):
            raise InputError("debrief", "", "no round that was revealed", "a class that was asked and shown")

        def debrief() -> dict[str, Any]:
            name, text = room.kept.debrief(record)
            return {"say": "debrief", "id": message.id, "name": name, "text": text}

        self._start("debrief", line, message.id, debrief)

    def _start(self, what: str, line: Line, number: Any, work: Callable[[], dict[str, Any]]) -> None:
        if any(task.get_name() == what for task in self._aside):
            raise InputError(what, "", "another one", "one at a time: wait for the first")

        async def aside() -> None:
            try:
                line.say(written(await asyncio.to_thread(work)))
            except InputError as error:
                line.say(refusal(number, error.line()))
            except Exception as error:
                log.error("%s failed: %s: %s", what, type(error).__name__, error)
                line.say(refusal(number, f"the {what} went wrong inside"))

        task = asyncio.create_task(aside(), name=what)
        self._aside.add(task)
        task.add_done_callback(self._aside.discard)
