"""Groups of commands whose help says each command's first sentence whole."""

import click

_WHOLE = 1000
"""Longer than any first sentence: the help wraps it instead of cutting it."""


class Group(click.Group):
    """A group that lists its commands with their whole first sentence."""

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the commands, a sentence each."""
        found = [(name, self.get_command(ctx, name)) for name in self.list_commands(ctx)]
        rows = [(name, one.get_short_help_str(_WHOLE)) for name, one in found if one is not None and not one.hidden]
        with formatter.section("Commands"):
            formatter.write_dl(rows)
