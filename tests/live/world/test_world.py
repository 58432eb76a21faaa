"""A world there and back: the same deeds at the same ticks give the same bits, and no craft feels another."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ramstill import airplane
from ramstill.errors import InputError
from ramstill.faults import Fault, catalogue
from ramstill.flight.levers import Levers, Start
from ramstill.live.world import BENCH, ByLevers, World, starting
from ramstill.live.world.moment import time_of

PLANE = airplane.load("high-wing-tube")
FAULTS = [
    Fault("pitot-inlet-blocked"),
    Fault("static-ports-blocked", severity=0.97, gradual_s=3.0),
    Fault("static-line-leak"),
    Fault("port-deformed"),  # changes what an opening sees
    Fault("altimeter-setting-wrong"),  # an instrument's own
    Fault("pitot-icing"),  # follows the path
    Fault("water-in-pitot-line"),
]
LEVERS = [
    Levers(climb_m_s=3.0),
    Levers(climb_m_s=-2.0, flap=0.5),
    Levers(speed_m_s=45.0),
    Levers(setting_pa=100500.0),
]

# What is done: (what, a figure from 0 to 1 that says which or where to)
SHARE = st.floats(0.0, 1.0)
DEED = st.tuples(
    st.sampled_from(
        ["tick", "tick", "lay", "past", "armed", "lift", "drop", "move", "levers", "rewind", "go"]
    ),
    SHARE,
)
DEEDS = st.lists(DEED, min_size=1, max_size=10)


def world_of(faults: tuple[Fault, ...] = ()) -> World:
    return World(PLANE, ByLevers(PLANE, Start(2500.0, 50.0)), faults)


def do(world: World, deed: tuple[str, float], craft: str = BENCH) -> None:
    what, share = deed
    placed = world.placed(craft)
    if what == "tick":
        world.tick(1 + int(share * 60))
    elif what in ("lay", "past", "armed"):
        fault = FAULTS[int(share * 6.999)]
        onset = share * world.time_s if what == "past" else None
        height = world.now.truth["pressure_altitude_m"] + 2.0 if what == "armed" else None
        world.lay(craft, fault, onset, height)
    elif what == "levers":
        world.act(LEVERS[int(share * 3.999)])
    elif what == "rewind":
        world.rewind(share * time_of(world.branch.end))
    elif what == "go":
        names = list(world.branches)
        world.go_to(names[int(share * (len(names) - 1e-9))])
    elif placed:
        one = placed[int(share * (len(placed) - 1e-9))]
        if what == "lift":
            world.lift(craft, one.id)
        elif what == "drop":
            world.drop(craft, one.id)
        else:
            world.move(craft, one.id, onset_s=share * world.time_s, end_s=None)


def bits(world: World, *crafts: str) -> list[Any]:
    """Everything there is to see."""
    names = crafts or tuple(world.crafts)
    return [
        world.at,
        world.now.outside_pa.tobytes(),
        sorted(world.now.truth.items()),
        world.true.tobytes(),
        *(world.crafts[name].shown.tobytes() for name in names),
        *(world.crafts[name].pressure_pa.tobytes() for name in names),
        *(world.crafts[name].outside_pa.tobytes() for name in names),
        *(str(world.placed(name)) for name in names),
    ]


@settings(max_examples=15)
@given(DEEDS, SHARE)
def test_there_and_back_is_the_same_to_the_last_bit(deeds: list[tuple[str, float]], share: float) -> None:
    world = world_of()
    world.tick(30)
    for deed in deeds:
        do(world, deed)
    there, branches = bits(world), len(world.branches)
    world.rewind(share * world.time_s)
    world.rewind(time_of(there[0]))
    assert bits(world) == there
    assert len(world.branches) == branches  # nothing was done otherwise
    world.go_to(world.branch.id)
    world.rewind(time_of(there[0]))
    assert bits(world) == there


@settings(max_examples=15)
@given(DEEDS)
def test_the_same_deeds_give_the_same_bits(deeds: list[tuple[str, float]]) -> None:
    """So a server that was killed comes back by doing it all again."""
    seen = []
    for _ in range(2):
        world = world_of((FAULTS[0],))
        world.tick(30)
        for deed in deeds:
            do(world, deed)
        world.tick(20)
        seen.append(bits(world))
    assert seen[0] == seen[1]


@settings(max_examples=15)
@given(st.lists(st.tuples(st.booleans(), DEED), min_size=1, max_size=10))
def test_a_learners_craft_never_changes_another(deeds: list[tuple[bool, tuple[str, float]]]) -> None:
    """Whatever is laid on it, lifted and moved: the bench's shows what it shows without it."""
    own = ("lay", "armed", "lift", "drop", "move", "past")
    seen = []
    for others in (False, True):
        world = world_of()
        if others:
            world.add("anna")
        world.tick(30)
        for to_anna, deed in deeds:
            if not to_anna:
                do(world, deed)
            elif others and deed[0] in own and world.at >= world.branch.end:
                do(world, deed, "anna")
        seen.append([one for one in bits(world, BENCH) if not str(one).startswith("(Placed")])
    assert seen[0] == seen[1]


def test_a_craft_beside_99_others_shows_what_it_shows_alone() -> None:
    faults = [
        Fault(entry.name, where=place) for entry in catalogue().values() for place in entry.places(PLANE)
    ]
    together = world_of()
    together.tick(10)
    for i in range(100):
        together.add(f"seat-{i}")
        together.lay(f"seat-{i}", faults[i % len(faults)])
    together.act(LEVERS[0])
    together.tick(100)
    assert together.stopped == {}
    for i in (0, 7, 23, 58, 99):
        alone = world_of()
        alone.tick(10)
        alone.add("it")
        alone.lay("it", faults[i % len(faults)])
        alone.act(LEVERS[0])
        alone.tick(100)
        assert np.array_equal(alone.crafts["it"].shown, together.crafts[f"seat-{i}"].shown, equal_nan=True)
        assert np.array_equal(alone.crafts["it"].pressure_pa, together.crafts[f"seat-{i}"].pressure_pa)
    assert np.array_equal(together.bench.shown, together.sound.shown)


def test_acting_in_the_past_begins_a_branch_and_the_old_one_stays() -> None:
    world = world_of()
    world.tick(100)
    name = world.lay(BENCH, FAULTS[0])
    world.act(LEVERS[0])
    world.tick(100)
    end = bits(world)
    world.rewind(2.0)
    assert world.placed() == ()
    world.act(LEVERS[1])
    world.tick(30)
    ways = [(one.id, one.parent, one.since) for one in world.branches.values()]
    assert ways == [("1", None, 0), ("2", "1", 40)]
    assert world.placed() == ()
    world.go_to("1")
    assert bits(world) == end
    assert [one.id for one in world.placed()] == [name]
    world.go_to("2")
    assert world.at == 70
    with pytest.raises(InputError, match="read 3; allowed: 1, 2"):
        world.go_to("3")


def test_a_fault_dropped_was_never_there() -> None:
    world = world_of()
    world.tick(50)
    name = world.lay(BENCH, FAULTS[3])
    world.tick(200)
    assert not np.array_equal(world.bench.shown, world.sound.shown)
    world.drop(BENCH, name)
    assert np.array_equal(world.bench.shown, world.sound.shown)
    assert np.array_equal(world.bench.pressure_pa, world.sound.pressure_pa)
    assert len(world.branches) == 1


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: fault.name)
def test_a_fault_moved_is_one_that_was_laid_on_then(fault: Fault) -> None:
    """To the bit, also once all is worked out again from the snapshots: its figures are those of a fault laid
    on at the tick before its onset."""

    moved = world_of()
    moved.tick(60)
    moved.act(LEVERS[0])
    moved.lay(BENCH, fault)
    moved.tick(90)
    moved.move(BENCH, moved.placed()[0].id, onset_s=5.0, severity=1.0)
    laid = world_of()
    laid.tick(60)
    laid.act(LEVERS[0])
    laid.tick(39)
    laid.lay(BENCH, replace(fault, severity=1.0))
    laid.tick(51)
    assert laid.placed()[0].fault == moved.placed()[0].fault
    assert np.array_equal(laid.bench.shown, moved.bench.shown)
    assert np.array_equal(laid.bench.pressure_pa, moved.bench.pressure_pa)
    there = bits(moved)
    moved.rewind(4.0)
    moved.rewind(7.5)
    assert bits(moved) == there


def test_a_lifted_fault_ends_at_the_next_tick() -> None:
    world = world_of()
    world.tick(20)
    name = world.lay(BENCH, Fault("altimeter-setting-wrong"))
    assert world.placed()[0].fault.onset_s == time_of(21)
    world.tick(1)
    assert abs(world.bench.shown[1] - world.sound.shown[1]) > 1.0
    world.tick(100)
    world.lift(BENCH, name)
    assert world.placed()[0].fault.end_s == time_of(122)
    world.tick(200)
    # the altimeter's friction keeps a little of it: its dead band is under a metre
    assert world.bench.shown == pytest.approx(world.sound.shown, abs=1.0)
    world.lift(BENCH, name)  # it is over: nothing more to do
    assert world.placed()[0].fault.end_s == time_of(122)


def test_a_fault_lifted_before_it_begins_was_never_there() -> None:
    world = world_of()
    world.tick(20)
    later = world.lay(BENCH, FAULTS[0], onset_s=60.0)
    armed = world.lay(BENCH, FAULTS[2], at_altitude_m=9000.0)
    world.lift(BENCH, later)
    world.lift(BENCH, armed)
    assert world.placed() == ()


def test_a_fault_comes_at_its_altitude_either_way() -> None:
    world = world_of()
    start = world.now.truth["pressure_altitude_m"]
    up = world.lay(BENCH, FAULTS[0], at_altitude_m=start + 20.0)
    down = world.lay(BENCH, FAULTS[2], at_altitude_m=start - 20.0)
    assert world.bench.faults == ()
    world.act(Levers(climb_m_s=4.0))
    world.tick(200)
    first = {one.id: one.fault.onset_s for one in world.placed() if world.has_come(BENCH, one)}
    assert list(first) == [up]
    at = world.flight.replay(world.done())().truth.at([first[up]]).pressure_altitude_m[0]
    assert start + 20.0 <= at <= start + 20.0 + 4.0 * 2 * 0.05 + 1e-6
    world.act(Levers(climb_m_s=-5.0))
    world.tick(400)
    assert all(world.has_come(BENCH, one) for one in world.placed())
    there = bits(world)
    world.rewind(1.0)
    assert not any(world.has_come(BENCH, one) for one in world.placed())
    world.rewind(time_of(there[0]))
    assert bits(world) == there
    # moved to a time of its own it waits for no altitude
    world.move(BENCH, down, onset_s=3.0)
    assert {one.id: one.fault.onset_s for one in world.placed()}[down] == 3.0
    assert {one.id: one.at_altitude_m for one in world.placed()}[down] is None


def test_an_end_before_a_fault_has_a_time_is_refused() -> None:
    world = world_of()
    with pytest.raises(InputError, match="end_s"):
        world.lay(BENCH, Fault("pitot-inlet-blocked", end_s=30.0), at_altitude_m=1000.0)
    assert not world.placed()


def test_an_onset_before_the_start_is_an_airplane_that_has_had_it() -> None:
    taped = Fault("tape-over-static-port", onset_s=-60.0)
    before, now = world_of((taped,)), world_of()
    now.tick(40)
    now.lay(BENCH, taped, onset_s=-60.0)
    before.tick(40)
    assert np.array_equal(now.bench.pressure_pa, before.bench.pressure_pa)
    assert now.bench.faults == before.bench.faults == (taped,)


def test_the_alternate_source_and_the_heat() -> None:
    world = world_of()
    world.tick(20)
    world.alternate(BENCH, True)
    world.alternate(BENCH, True)  # it is open
    world.heat(BENCH, False)
    world.tick(60)
    assert sorted(one.fault.name for one in world.placed()) == ["alternate-static-open", "heat-left-off"]
    # a cabin with less than the static pressure: the altimeter shows more
    assert world.bench.shown[1] > world.sound.shown[1] + 1.0
    world.alternate(BENCH, False)
    world.heat(BENCH, True)
    assert all(one.fault.end_s == time_of(81) for one in world.placed())
    without = starting.by_levers("low-wing-mast")
    with pytest.raises(InputError, match="an airplane with one"):
        without.alternate(BENCH, True)


def test_crafts_come_and_go() -> None:
    world = world_of()
    world.tick(20)
    world.lay(BENCH, FAULTS[0])
    world.tick(20)
    world.add("anna")
    world.add("ben", like=BENCH)
    world.tick(20)
    assert np.array_equal(world.crafts["anna"].shown, world.sound.shown)
    assert np.array_equal(world.crafts["ben"].shown, world.bench.shown)
    world.rewind(1.5)
    world.rewind(3.0)
    assert np.array_equal(world.crafts["ben"].shown, world.bench.shown)
    world.drop(BENCH, world.placed()[0].id)
    assert not np.array_equal(world.crafts["ben"].shown, world.bench.shown)
    world.remove("ben")
    world.add("ben")
    world.tick(5)
    assert np.array_equal(world.crafts["ben"].shown, world.sound.shown)
    for wrong in (lambda: world.add("ben"), lambda: world.remove(BENCH), lambda: world.remove("zoe")):
        with pytest.raises(InputError):
            wrong()


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        (lambda world: world.lay(BENCH, Fault("pitot-inlet-clogged")), "perhaps pitot-inlet-blocked"),
        (lambda world: world.lay(BENCH, Fault("static-line-leak", where="nowhere")), "where"),
        (lambda world: world.lay("zoe", FAULTS[0]), "allowed: bench"),
        (lambda world: world.lift(BENCH, "f9"), "allowed: f1"),
        (lambda world: world.move(BENCH, "f1", severity=2.0), "severity"),
        (lambda world: world.move(BENCH, "f1", where="nowhere"), "where"),
        (lambda world: world.move(BENCH, "f1", end_s=0.5), "end"),
        (lambda world: world.act(Levers(flap=3.0)), "flap"),
    ],
)
def test_what_cannot_be_is_refused_and_changes_nothing(wrong: Callable[[World], object], said: str) -> None:
    world = world_of()
    world.tick(20)
    world.lay(BENCH, FAULTS[0])
    world.tick(20)
    before = bits(world)
    with pytest.raises(InputError, match=said):
        wrong(world)
    assert bits(world) == before
    assert list(world.branches) == ["1"]
    twin = world_of()
    twin.tick(20)
    twin.lay(BENCH, FAULTS[0])
    twin.tick(40)
    world.tick(20)
    assert bits(world) == bits(twin)


@settings(max_examples=10)
@given(st.sampled_from(["alternate-static", "breath-on-the-bench", "glass-broken", "recorded-lesson"]), SHARE)
def test_a_given_flight_is_gone_through_anywhere(name: str, share: float) -> None:
    world = GIVEN[name] if name in GIVEN else GIVEN.setdefault(name, starting.of_scenario(name))
    world.rewind(0.0)
    world.tick(400)
    there = bits(world)
    world.rewind(share * 20.0)
    world.rewind(20.0)
    assert bits(world) == there


GIVEN: dict[str, World] = {}


def test_a_craft_that_cannot_go_on_stops_alone() -> None:
    """Its tolerance is made so small that the engine gives up, as it does at plumbing too quick to follow."""
    world, twin = world_of(), world_of()
    for one in (world, twin):
        one.tick(20)
        one.add("anna")
        one.lay("anna", FAULTS[2])
        one.tick(30)
    usual = world.crafts["anna"].session.tolerance_pa
    world.crafts["anna"].session.tolerance_pa = 1e-40
    world.act(LEVERS[0])
    twin.act(LEVERS[0])
    world.tick(60)
    twin.tick(60)
    assert list(world.stopped) == ["anna"]
    assert "steps" in world.stopped["anna"]
    assert bits(world, BENCH) == bits(twin, BENCH)
    world.crafts["anna"].session.tolerance_pa = usual
    world.rewind(2.2)
    world.tick(66)
    assert world.stopped == {}
    assert bits(world) == bits(twin)
    world.crafts["anna"].session.tolerance_pa = 1e-40
    world.tick(45)
    assert list(world.stopped) == ["anna"]
    world.crafts["anna"].session.tolerance_pa = usual
    world.rewind(world.time_s - 0.5)  # from a second at which it had stopped: it is still so
    world.drop("anna", world.placed("anna")[0].id)
    assert world.stopped == {}
    assert np.array_equal(world.crafts["anna"].shown, world.sound.shown)
