"""Pages made of pictures, tables and words."""

from ramstill._lazy import hand_on

__getattr__, __dir__ = hand_on(
    __name__,
    {
        "page": "ramstill.report.pages",
        "write": "ramstill.report.writing",
        "TABLE": "ramstill.report.writing",
        "card_html": "ramstill.report.card",
        "card_pdf": "ramstill.report.card",
        "write_card": "ramstill.report.card",
        "write_diagnosis": "ramstill.report.diagnosis_page",
        "pdf": "ramstill.report.typst_pdf",
    },
)
