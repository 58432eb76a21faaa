"""Pages made of pictures, tables and words."""

from ramstill._lazy import hand_on

__getattr__, __dir__ = hand_on(
    __name__,
    {
        "page": "ramstill.report.pages",
        "write": "ramstill.report.writing",
        "TABLE": "ramstill.report.writing",
    },
)
