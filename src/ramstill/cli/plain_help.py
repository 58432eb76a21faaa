"""Help as plain text, wrapped once with hanging lines: reads well aloud, in a narrow window, in the docs."""

import textwrap
from typing import TYPE_CHECKING

from cyclopts.help.formatters.plain import PlainFormatter

if TYPE_CHECKING:
    from cyclopts.help import HelpEntry
    from rich.console import Console

WIDEST = 88


class PlainHelp(PlainFormatter):
    """Cyclopts' plain formatter, whose long lines are wrapped here and nowhere else."""

    def _print_plain(self, console: "Console", text: str) -> None:
        width, entry = min(console.width, WIDEST), text.startswith(self.indent)
        paragraphs = [" ".join(text.split())] if entry else text.split("\n\n")
        first, hanging = (self.indent, self.indent * 4) if entry else ("", "")
        wrapped = [
            textwrap.fill(
                " ".join(paragraph.split()),
                width,
                initial_indent=first,
                subsequent_indent=hanging,
                break_on_hyphens=False,
            )
            for paragraph in paragraphs
        ]
        console.print("\n\n".join(wrapped), highlight=False, markup=False, soft_wrap=True)

    def _format_parameter_entry(
        self, options: tuple[str, ...], desc: str, console: "Console", entry: "HelpEntry"
    ) -> None:
        # that a switch is off unless given says nothing
        shown = entry.copy(default=None) if str(entry.default) == "False" else entry
        super()._format_parameter_entry(options, desc, console, shown)
