"""Changes to an airplane's table, and the one line that comes of a bad one: what several tests here share."""

import copy

import pytest

from ramstill import airplane
from ramstill.errors import InputError


def complaint(change, good):
    """The line that refuses a table, without its file, after a change to a copy of it."""
    table = copy.deepcopy(good)
    change(table)
    with pytest.raises(InputError) as caught:
        airplane.from_dict(table, "mine.toml")
    line = str(caught.value)
    assert "\n" not in line
    assert line.startswith("mine.toml: ")
    assert "; allowed: " in line
    assert "Traceback" not in line
    return line.removeprefix("mine.toml: ")


def put(value, *path):
    """Put a value at a path."""

    def change(table):
        inside(table, path)[path[-1]] = value

    return change


def drop(*path):
    """Take what is at a path away."""

    def change(table):
        del inside(table, path)[path[-1]]

    return change


def rename(new, *path):
    """Call what is at a path by another key."""

    def change(table):
        there = inside(table, path)
        there[new] = there.pop(path[-1])

    return change


def inside(table, path):
    """What holds the last of a path."""
    for step in path[:-1]:
        table = table[step]
    return table
