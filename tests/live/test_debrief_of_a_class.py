"""The debrief of a class that was held: the record that the real server keeps, worked out again."""

import re

from a_server import Live

from ramstill.live.worked import work_out


def _words(page: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<style>.*?</style>|<svg.*?</svg>|<[^>]+>", " ", page, flags=re.S))


def test_a_class_on_the_server_is_told_as_it_went(session: Live) -> None:
    bench = session.bench()
    assert bench.act("stage", airplane="high-wing-tube", mode="levers")["say"] == "done"
    word = session.open_class(bench)
    pages = [session.seat(session.sit(word, name)[0]) for name in ("Ines", "Tomasz", "")]
    seats = list(session.room.school.seats)
    bench.act("levers", climb_fpm=500)
    bench.act("step", seconds=60)
    bench.act("fault", name="static-ports-blocked")
    bench.act("give", seat=seats[2], faults=[{"name": "pitot-line-leak", "size": "4 mm"}])
    bench.act("ask")
    for page in pages:
        page.until("asked", open=True)
    bench.act("step", seconds=40)
    pages[0].act("call", fault="static-ports-blocked", since_s=62.0, would_do="Alternate source")
    pages[1].act("call", fault="pitot-inlet-blocked")
    bench.act("rewind", to_s=80.0)
    bench.act("alternate", open=True)
    bench.act("step", seconds=30)
    pages[1].act("call", fault="none")
    pages[1].act("recall")
    bench.act("reveal", what="faults")
    record = session.room.school.record("A class", "high-wing-tube")
    (one,) = record.rounds
    worked = work_out(one, seats)
    shared = next(looked for looked in worked.looked if seats[0] in looked.seats)
    own = next(looked for looked in worked.looked if looked.seats == (seats[2],))
    # the alternate source was opened for everyone: it is no fault of anybody's panel
    assert [fault.name for fault in shared.faults] == ["static-ports-blocked"]
    assert [fault.name for fault in own.faults] == ["pitot-line-leak"]
    assert shared.verdicts[seats[0]].stands == "right"
    assert seats[1] not in shared.verdicts
    # what the pages were shown at the reveal is what the debrief has flown again: float32, tolerance 0.2 Pa
    shown = {
        p.name: float(v) for p, v in zip(worked.pointers, session.room.deck.world.bench.shown, strict=True)
    }
    assert abs(shown["airspeed"] - shared.shown["airspeed"][-1]) < 0.3
    assert abs(shown["altimeter"] - shared.shown["altimeter"][-1]) < 1.0
    answer = bench.act("debrief")
    assert answer["say"] == "debrief"
    words = _words(answer["text"])
    assert "before the flight was taken back" in words
    assert "nothing at the reveal; before, pitot inlet blocked" in words
    assert "Pitot line leak" in words
