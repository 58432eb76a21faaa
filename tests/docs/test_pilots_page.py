"""docs/pilots.md against the program: styles, cues, thresholds, times."""

import re
from math import degrees
from pathlib import Path

from ramstill.air.units import FPM, FT, KT
from ramstill.flight.pilots import CUES, STYLES, checking, cues, faulty, hands, seeing
from ramstill.flight.pilots.table import PilotPlan
from ramstill.run import bundled

PAGE = " ".join((Path(__file__).parents[2] / "docs" / "pilots.md").read_text(encoding="utf-8").split())


def test_every_style_and_every_cue_has_its_row() -> None:
    for style in STYLES:
        assert f"| `{style}` |" in PAGE
    for title in CUES.values():
        assert f"| {title} |" in PAGE


def test_the_thresholds_are_those_of_the_program() -> None:
    for words in (
        f"{degrees(cues.PITCH_OFF):.0f} degrees out of",
        f"{cues.CLIMB_OFF / FPM:.0f} ft/min (at least",
        f"{cues.WARNED_OFF / KT:.0f} kt more on the pointer",
        f"{cues.SPEED_OFF / KT:.0f} kt from what airspeed",
        f"{cues.READ_BACK_OFF / FT:.0f} ft from the altimeter",
        f"a second airspeed is {cues.OTHER_SPEED_OFF / KT:.0f} kt",
        f"a second altimeter {cues.OTHER_ALTITUDE_OFF / FT:.0f} ft",
        f"the vertical speed {cues.OTHER_RATE_OFF / FPM:.0f} ft/min",
        f"over the last {cues.WINDOW_S:.0f} s",
        f"less than {cues.LASTS_S:.0f} s is no cue",
        f"{checking.HEAT_AFTER_S:.0f} s later the heat",
        f"{checking.ALTERNATE_AFTER_S:.0f} s later the alternate",
        f"agrees again for {checking.AGREE_S:.0f} s",
        f"every {faulty.EVERY_S:.0f} s",
        f"({seeing.READ_SPEED / KT:.1f} kt and {seeing.READ_ALTITUDE / FT:.0f} ft",
        f"{degrees(hands.STICK_RATE):.0f} degrees and a fifth",
        f"({PilotPlan.model_fields['recognition'].default:.0f} s unless said otherwise)",
    ):
        assert words in PAGE, words


def test_the_commands_run_bundled_scenarios() -> None:
    assert set(re.findall(r"ramstill run ([a-z-]+) --out", PAGE)) <= set(bundled())


def test_the_cues_stand_in_the_order_of_their_columns() -> None:
    order = (cues.PITCH_CUE, cues.CLIMB_CUE, cues.WARNING_CUE, cues.SPEED_CUE)
    order += (cues.READ_BACK_CUE, cues.OTHER_CUE, cues.BLANK_CUE)
    named = ("pitch", "climb", "warning", "ground-speed", "read-back", "other-pointer", "blank")
    assert dict(zip(named, order, strict=True)) == {name: i for i, name in enumerate(CUES)}
