"""What the pages are given once: drawings, laws, parts, what can happen there; for every hangar airplane."""

import json
import re

import numpy as np
import pytest

from ramstill import airplane
from ramstill.faults import Fault, catalogue, where_on_airplane
from ramstill.instruments import pointers_of
from ramstill.live.stage import (
    Heights,
    bench_fields,
    bench_stage,
    column_names,
    faults_possible,
    levers,
    seat_fields,
    seat_stage,
)
from ramstill.pneumatics import compile_network

NAMES = airplane.hangar()


@pytest.mark.parametrize("name", NAMES)
def test_everything_that_moves_has_a_figure(name: str) -> None:
    plane = airplane.load(name)
    stage = json.loads(json.dumps(bench_stage(plane), allow_nan=False))
    fields = set(stage["fields"])
    assert len(fields) == len(stage["fields"])
    for wall in stage["walls"]:
        for svg in (wall["wide"], wall["narrow"]):
            drawn = re.findall(r'data-column="([^"]+)"', svg)
            assert drawn
            assert {f"column:{column}" for column in drawn} <= fields
    hands = {law["hand"] for law in stage["laws"]}
    for dial in stage["dials"]:
        assert set(re.findall(r'data-hand="([^"]+)"', dial["svg"])) <= hands
        assert dial["name"] in fields
        assert f"true:{dial['name']}" in fields
    assert {law["pointer"] for law in stage["laws"]} <= fields
    assert {f"column:{node}" for node in re.findall(r'data-node="([^"]+)"', stage["map"])} <= fields


@pytest.mark.parametrize("name", NAMES)
def test_no_style_and_no_script_stand_in_a_drawing(name: str) -> None:
    stage = bench_stage(airplane.load(name))
    drawings = [stage["map"], *(d["svg"] for d in stage["dials"])]
    drawings += [svg for wall in stage["walls"] for svg in (wall["wide"], wall["narrow"])]
    for svg in drawings:
        assert not re.search(r"<style|<script|\sstyle=|\son\w+=|href", svg)
        ids = re.findall(r'\bid="([^"]+)"', svg)
        assert len(ids) == len(set(ids))
    everywhere = [i for svg in drawings for i in re.findall(r'\bid="([^"]+)"', svg)]
    assert len(everywhere) == len(set(everywhere))  # they stand on one page


def test_a_fault_is_offered_at_every_part_it_sits_on() -> None:
    plane = airplane.load("twin-two-ports")
    parts = {part["name"] for part in bench_stage(plane)["parts"]}
    offered = faults_possible(plane)
    assert [one["name"] for one in offered] == [n for n, e in catalogue().items() if e.places(plane)]
    for one in offered:
        for place in one["places"]:
            told = [name for _, name in where_on_airplane(Fault(one["name"], place["where"]), plane)]
            assert place["parts"] == told
            # what sits on no part of the map would be out of reach
            assert set(told) & parts, one["name"]


@pytest.mark.parametrize("name", NAMES)
def test_heights_are_pressures_over_the_still_air(name: str) -> None:
    plane = airplane.load(name)
    network = compile_network(plane)
    heights = Heights(plane, network.node_names, network.boundary_names)
    rng = np.random.default_rng(3)
    inside = 90e3 + 1e3 * rng.random(len(network.node_names))
    outside = 90e3 + 1e3 * rng.random(len(network.boundary_names))
    found = dict(zip(column_names(plane), heights.of(inside, outside, 90e3), strict=True))
    for column, height in found.items():
        if column == "outside.still":
            assert height == 0.0
        elif column in network.node_names:
            assert height == inside[network.index_of(column)] - 90e3
        else:
            boundary = column.removeprefix("outside.ram.").removeprefix("outside.")
            assert height == outside[network.boundary_names.index(boundary)] - 90e3


def test_a_learner_is_given_the_panel_and_nothing_else() -> None:
    plane = airplane.load("high-wing-tube")
    stage = seat_stage(plane)
    assert stage["fields"] == [*(pointer.name for pointer in pointers_of(plane)), "setting"]
    assert tuple(stage["fields"]) == seat_fields(plane) == bench_fields(plane)[: len(stage["fields"])]
    assert not {"walls", "map", "faults", "parts"} & set(stage)
    assert "true" not in json.dumps(stage["dials"])


def test_levers_are_those_that_do_something() -> None:
    twin, tube, sailplane = (
        levers(airplane.load(name)) for name in ("twin-two-ports", "high-wing-tube", "sailplane")
    )
    assert "gear" in twin
    assert "gear" not in tube
    assert tube["alternate"]
    assert tube["heat"]
    assert "power" not in sailplane
    assert not sailplane["heat"]
    assert tube["speed_kt"] == {"low": 0.0, "high": 160.0, "step": 1.0}
