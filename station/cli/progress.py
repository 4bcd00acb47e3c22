"""A progress bar on a terminal, and nothing elsewhere."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager

from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn


@contextmanager
def counting(what: str, unit: str, total: int | None = None) -> Iterator[Callable[[int], None]]:
    """Show how far a long run has come, on a terminal only.

    Args:
        what: what is being done, such as "replaying".
        unit: what is counted, such as "readings".
        total: how many there are, if that is known.

    Yields:
        A function to call with the number done so far.
    """
    console = Console(stderr=True)
    text = TextColumn(f"{what} {{task.completed:,.0f}} {unit}")
    with Progress(
        text, BarColumn(), TimeElapsedColumn(), console=console, transient=True, disable=not console.is_terminal
    ) as bar:
        task = bar.add_task(what, total=total)
        yield lambda done: bar.update(task, completed=done)
