"""All faults by name."""

from functools import cache
from types import MappingProxyType

from ramstill.faults import blockages, crossing, icing, instrument_parts, leaks, outside, water
from ramstill.faults.entry import Entry


@cache
def catalogue() -> MappingProxyType[str, Entry]:
    """Return every fault by name: what shuts and freezes, then what leaks, then the instruments' own."""
    groups = (blockages, icing, water, leaks, crossing, outside, instrument_parts)
    return MappingProxyType({entry.name: entry for group in groups for entry in group.ENTRIES})
