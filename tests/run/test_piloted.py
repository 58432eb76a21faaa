"""A flown run in words, moments and columns."""

from functools import cache

import numpy as np
import pytest

from ramstill.report.pages import gist
from ramstill.run import Run, load_scenario

FLOWN = ("climb-by-the-needle", "approach-by-the-needle", "approach-with-a-cross-check")


@cache
def worked(name: str) -> Run:
    return load_scenario(name).run()


@pytest.mark.parametrize("name", FLOWN)
def test_who_flew_and_the_first_honest_cue_stand_in_the_account(name: str) -> None:
    run = worked(name)
    told = {p.title: p for p in run.words() if p.about == "pilot"}
    assert run.flown is not None
    assert next(iter(told)) == "Who flew"
    cue = told["The first honest cue"]
    event = run.flown.first("cue")
    assert event is not None
    assert cue.at_s == event.at_s
    assert event.text in cue.text
    assert ("What this does not show" in told) == (run.flown.trouble is not None)


@pytest.mark.parametrize("name", FLOWN[:2])
def test_the_stall_its_cue_and_the_margin_are_said(name: str) -> None:
    run = worked(name)
    assert run.flown is not None
    stall, margin = run.flown.first("stall"), run.flown.margin_s
    assert stall is not None
    assert margin is not None
    text = next(p.text for p in run.words() if p.title == "The first honest cue")
    assert f"{margin:.0f} s before the stall" in text
    assert gist(run).endswith(f"{margin:.0f} s later the wing stalls.")
    titles = [m.title for m in run.moments()]
    assert "First honest cue" in titles
    assert "The wing stalls" in titles
    assert len(titles) <= 8
    at = run.index(stall.at_s)
    assert run.truth.cas_m_s[at] < run.pointers["airspeed"][at] - 10.0


def test_the_cross_check_acts_and_never_stalls() -> None:
    run = worked(FLOWN[2])
    assert run.flown is not None
    assert run.flown.trouble is None
    assert gist(run).endswith("the wing never stalls.")
    assert "alternate-static-open" in {fault.name for fault in run.faults}
    assert {"The pilot recognises it", "Alternate static source open", "The pointers are trusted again"} <= {
        m.title for m in run.moments()
    }


def test_pitch_and_what_the_pointers_ask_for_are_columns() -> None:
    run = worked(FLOWN[0])
    columns = run.columns()
    assert {"pitch_deg", "asked_pitch_deg", "power_pct"} <= set(columns)
    # before the fault the nose stands where the pointers ask for it, in the end far above
    off = np.abs(columns["pitch_deg"] - columns["asked_pitch_deg"])
    calm = (run.time_s > 20.0) & (run.time_s < 59.0)
    assert off[calm].max() < 2.0
    assert off[run.index(85.0)] > 10.0
    assert "pitch_deg" not in load_scenario("glass-broken").run().columns()


def test_a_run_without_a_pilot_has_none_of_it() -> None:
    run = load_scenario("glass-broken").run()
    assert run.flown is None
    assert not [p for p in run.words() if p.about == "pilot"]
