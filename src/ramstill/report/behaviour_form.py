"""The form for a reported defect: its words, and the table of behaviours packed so that a page can carry it.

The table of a whole airplane has a million figures, most of them the same: what a fault does not touch reads
as on a sound airplane. So each distinct row of behaviours is kept once, each distinct set of rows of a phase
once, and candidates point at these. Figures are kept to thousandths, as the table's own JSON has them.
"""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ramstill.pictures.of_diagnosis import finding_words
from ramstill.report import diagnosis_words as words
from ramstill.run.phrases import first_down

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.diagnosis.behaviours import BehaviourTable
    from ramstill.diagnosis.saying import Word

FINEST = 1000  # figures are kept as whole numbers of one in so many


@dataclass(frozen=True, slots=True)
class Packed:
    """A table's probabilities without repetition: rows[sets[places[c, p], i], b] / FINEST.

    rows (r, b): distinct rows; sets (s, i): distinct sets of rows of all instruments in a phase; places
    (c, p): the set of each candidate in each phase.
    """

    rows: NDArray[np.uint16]
    sets: NDArray[np.uint32]
    places: NDArray[np.uint32]

    def unpacked(self) -> NDArray[np.float64]:
        """The probabilities (c, p, i, b)."""
        return np.asarray(self.rows[self.sets[self.places]] / FINEST)


def pack(probability: NDArray[np.float64]) -> Packed:
    """Pack probabilities (c, p, i, b), rounded to one in `FINEST` and never to nothing."""
    c, p, i, b = probability.shape
    whole = np.maximum(np.round(probability * FINEST), 1).astype(np.uint16).reshape(-1, b)
    rows, of_row = np.unique(whole, axis=0, return_inverse=True)
    sets, of_set = np.unique(of_row.reshape(c * p, i), axis=0, return_inverse=True)
    return Packed(rows, sets.astype(np.uint32), of_set.reshape(c, p).astype(np.uint32))


def form_content(plane: Airplane, table: BehaviourTable) -> dict[str, Any]:
    """What the template puts on the page: the choices in words, and the data behind them."""
    from ramstill.diagnosis import saying

    titles = {one.name: one.word.meaning for one in saying.instruments(plane)}
    return {
        "phases": [_known(saying.PHASES, name) for name in table.phases],
        "instruments": [(name, titles[name]) for name in table.instruments],
        "behaviours": [_known(saying.BEHAVIOURS, name) for name in table.behaviours],
        "command": command(plane),
    }


def _known(of: Sequence[Word], name: str) -> Word:
    return next(word for word in of if word.name == name)


def command(plane: Airplane) -> str:
    """The command line that asks the same, up to what was seen."""
    from ramstill.airplane.reading import hangar

    return f"ramstill diagnose {plane.name if plane.name in hangar() else f'{plane.name}.toml'}"


def form_data(table: BehaviourTable) -> dict[str, Any]:
    """The table for the page's script. Byte strings are base64 of whole numbers, the low byte first."""
    from ramstill.diagnosis import phases
    from ramstill.diagnosis.behaviours import BEFORE
    from ramstill.diagnosis.priors import BEFORE_THE_START

    findings = list(dict.fromkeys(tuple(sorted(f.name for f in c)) for c in table.candidates))
    places = list(dict.fromkeys(_place(c) for c in table.candidates))
    onsets = list(dict.fromkeys(table.onsets))
    packed = pack(table.probability)
    return {
        "phases": list(table.phases),
        "instruments": list(table.instruments),
        "behaviours": list(table.behaviours),
        "order": list(phases.NAMES),
        "ground": phases.GROUND,
        "standing": [phases.GROUND, phases.ROLL],
        "before": BEFORE,
        "beforeShare": BEFORE_THE_START,
        "finest": FINEST,
        "findings": [_finding(names) for names in findings],
        "placeNames": places,
        "onsets": onsets,
        "finding": _numbers([findings.index(tuple(sorted(f.name for f in c))) for c in table.candidates]),
        "place": _numbers([places.index(_place(c)) for c in table.candidates]),
        "onset": _numbers([onsets.index(name) for name in table.onsets]),
        "weights": b64encode(np.asarray(table.weights, dtype="<f8").tobytes()).decode(),
        "rows": _numbers(packed.rows),
        "sets": _numbers(packed.sets),
        "sources": _numbers(packed.places),
        "noneFits": np.round(table.none_fits, 3).tolist(),
        "noneWeight": table.none_weight,
    }


def _place(faults: Sequence[Any]) -> str:
    return words.where_words(tuple(fault.where for fault in faults))


def _finding(names: tuple[str, ...]) -> dict[str, Any]:
    """A finding in words; the sound airplane has no clause."""
    from ramstill.faults import catalogue

    return {
        "title": finding_words(names) if names else words.NO_FAULT,
        "low": first_down(finding_words(names)),
        "clause": " and ".join(words.clause(name) for name in names),
        "sentence": " ".join(catalogue()[name].sentence for name in names),
    }


def _numbers(values: Any) -> dict[str, Any]:
    """Whole numbers in as few bytes as hold them all."""
    found = np.asarray(values)
    most = int(found.max(initial=0))
    size = 1 if most < 1 << 8 else 2 if most < 1 << 16 else 4
    return {"size": size, "bytes": b64encode(found.astype(f"<u{size}").tobytes()).decode()}
