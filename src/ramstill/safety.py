"""What every page, report and help text says that could be taken for guidance."""

SAFETY = (
    "A training and planning aid, not approved data; not for use in flight. System tests and repairs "
    "belong to appropriately rated people with the manufacturer's manual and the local rules. "
    "Never blow into or pull on a live system."
)
