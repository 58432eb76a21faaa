"""What a learner says: an answer, or that it is taken back. Nothing else is open to them."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from ramstill.errors import InputError
from ramstill.live import messages, says
from ramstill.live.line import Line, refusal, written
from ramstill.live.security import as_line

if TYPE_CHECKING:
    from ramstill.live.room import Room


async def hear_seat(room: Room, line: Line, seat: str, message: Any) -> None:
    """Take a learner's answer, or what takes it back; nothing else is open to them."""
    if not isinstance(message, messages.CallIt | messages.Recall):
        return
    school = room.school
    try:
        if not school.open or seat not in school.seats:
            raise InputError(message.do, "", "a class that is over", "an open class")
        if not school.asked:
            raise InputError(message.do, "", "an answer", "answers while the instructor asks for them")
        said: dict[str, Any] = {"do": "call", "seat": seat, "branch": room.deck.branch}
        said |= {"fault": None, "since_s": None, "would_do": ""}
        if isinstance(message, messages.CallIt):
            if message.fault not in room.deck.looks.answers:
                raise InputError("call", "fault", message.fault, "an answer of the list")
            would_do = as_line(message.would_do, messages.WOULD_DO_LENGTH)
            said |= {"fault": message.fault, "since_s": message.since_s, "would_do": would_do}
        async with room.turn:
            entry = replace(room.entry("class", said), time_s=room.seen_s(seat))
            done = room.keep(entry)
        await room.lasting(done)
    except InputError as error:
        line.say(refusal(message.id, error.line()))
        return
    room.roll_changed = True
    line.say(written(says.called(school.call_of(seat)) | {"id": message.id}))
