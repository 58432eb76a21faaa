"""docs/live.md against the program: numbers, codes, files, commands."""

import re
from pathlib import Path

from ramstill.airplane.reading import hangar
from ramstill.live import app, keeping, messages, room, schoolroom, store
from ramstill.live.clock import MOST_BEHIND_S
from ramstill.live.line import BEHIND
from ramstill.live.security import NAME_LENGTH
from ramstill.live.throttle import Guesses
from ramstill.live.words import plain_words
from ramstill.live.world.moment import TICK_S
from ramstill.run import bundled

TEXT = (Path(__file__).parents[2] / "docs" / "live.md").read_text(encoding="utf-8")
PAGE = " ".join(TEXT.split())


def test_its_numbers_are_the_program_s() -> None:
    most, words = Guesses(), len(plain_words())
    pairs = round(words * (words - 1), -4)
    for said in (
        f"{1.0 / TICK_S:.0f} times a second",
        {0.25: "a quarter of a second late"}[MOST_BEHIND_S],
        f"{messages.BENCH_BYTES // 1024} kB and {messages.BENCH_PER_S:.0f} messages a second",
        f"{messages.SEAT_BYTES // 1024} kB and {messages.SEAT_PER_S:.0f} a second",
        f"{schoolroom.MOST_SEATS} learners",
        f"one line of {NAME_LENGTH} characters",
        f"some {pairs:,} pairs",
        {5.0: "Five wrong words from one address"}[most._most],
        {12.0: "one every twelve seconds"}[1.0 / most._per_s],
        {60.0: "sixty from all together"}[most._all.most],
        {0.5: "one every two seconds"}[most._all.per_s],
        {5.0: "Five seconds to say who one is"}[app.ENTER_S],
        {3.0 * 3600.0: "holds for three hours"}[schoolroom.WORD_LASTS_S],
    ):
        assert said in PAGE, said


def test_every_close_code_has_its_row() -> None:
    told = {int(code) for code in re.findall(r"^\| (\d{4}) \|", TEXT, re.MULTILINE)}
    assert told == {
        app.NOT_IN,
        app.NOT_KNOWN,
        app.TOO_MANY,
        room.TAKEN_OVER,
        room.OVER,
        app.TOO_LARGE,
        BEHIND,
    }


def test_its_files_and_names_are_there() -> None:
    for begins in (keeping.SESSION, keeping.FLIGHT, keeping.DEBRIEF):
        assert f"`{begins}-" in PAGE
    assert "`synchronous=FULL`" in PAGE
    assert "synchronous=full" in Path(store.__file__).read_text(encoding="utf-8")
    assert set(re.findall(r"--airplane ([a-z-]+)", PAGE)) <= set(hangar())
    assert set(re.findall(r"--scenario ([a-z-]+)", PAGE)) <= set(bundled())
