"""A bar on stderr for work that takes its time."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING, Self

if TYPE_CHECKING:
    from types import TracebackType

    from rich.progress import Progress, TaskID

PATIENCE_S = 1.0  # shorter work shows nothing


class Bar:
    """Counts what is done; a context manager. The bar comes after a second, and only where it is `wanted`.

    total: how much there is to do, None where that is not known.
    """

    def __init__(self, title: str, total: int | None, wanted: bool = True) -> None:
        self._title, self._total, self._wanted = title, total, wanted
        self._done, self._since = 0, time.monotonic()
        self._shown: tuple[Progress, TaskID] | None = None

    def __enter__(self) -> Self:
        return self

    def step(self, more: int = 1) -> None:
        """One more, or so many, are done."""
        self._done += more
        if not self._wanted:
            return
        if self._shown is None:
            if time.monotonic() - self._since < PATIENCE_S:
                return
            self._shown = self._show()
        progress, task = self._shown
        progress.update(task, completed=self._done)

    def _show(self) -> tuple[Progress, TaskID]:
        from rich.console import Console
        from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

        progress = Progress(
            TextColumn("{task.description}"),
            BarColumn(),
            MofNCompleteColumn(),
            TimeRemainingColumn(),
            console=Console(stderr=True),
            redirect_stdout=False,
            redirect_stderr=False,
        )
        progress.start()
        return progress, progress.add_task(self._title, total=self._total)

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._shown is not None:
            self._shown[0].stop()
