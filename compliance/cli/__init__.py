"""The command line: parsing, exit codes, one error map; each command loads when called."""

from __future__ import annotations

import sys
import traceback
from datetime import datetime
from difflib import get_close_matches
from importlib import import_module
from typing import Any

import click

from compliance.errors import ComplianceError

COMMANDS = {
    "new": "start a job: six answers give a record to fill and a sheet for the first visit",
    "check": "say what is not yet shown of a job, and what it holds up",
    "set": "write one value of a record, and say what it did to the findings",
    "reading": "add one test to a record, its limits said back",
    "renew": "rewrite a record of an older format in today's",
    "sheet": "make the sheet of what the next visit has to bring home",
    "pack": "build the documents of a job and issue them as one verifiable pack",
    "verify": "say whether an issued pack is whole and unchanged",
    "live": "say what stays live, from what, and which switches free it",
    "calculate": "work out any quantity or limit by hand, with its working and source",
    "yields": "work out the energy of each month from irradiance data",
    "chase": "say what is not shown of many jobs, who holds it and by when it is due",
    "sample": "draw the jobs that an auditor looks at, so that anybody can repeat it",
    "schema": "print the JSON Schema of a record, for editors",
    "rules": "list, show and test the requirements",
}
PACKAGE = "installation-evidence"
HELD_UP, UNUSABLE, OUR_FAULT, INTERRUPTED = 1, 2, 70, 130


class Commands(click.Group):
    """Commands that are imported when they are called, so that `--help` is quick."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        command: click.Command = import_module(f"compliance.cli.{cmd_name}").command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))

    def resolve_command(self, ctx: click.Context, args: list[str]) -> Any:
        close = get_close_matches(args[0], COMMANDS, n=1)
        if args[0] not in COMMANDS and close:
            ctx.fail(f'there is no command "{args[0]}"; did you mean "{close[0]}"?')
        return super().resolve_command(ctx, args)


def _print_version(ctx: click.Context, _: click.Parameter, is_asked: bool) -> None:
    """The installed version; run from a checkout, there may be none."""
    if not is_asked:
        return
    from importlib.metadata import PackageNotFoundError, version

    try:
        click.echo(version(PACKAGE))
    except PackageNotFoundError:
        click.echo(f"no version: {PACKAGE} runs from its source and is not installed")
    ctx.exit()


@click.group(
    cls=Commands,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog="Start with: compliance check JOB (a folder that holds installation.yaml); then "
    "compliance pack JOB --out DIR. Nothing this tool prints is permission to energise.",
    no_args_is_help=False,
    invoke_without_command=True,
)
@click.option(
    "--version", is_flag=True, is_eager=True, expose_value=False, callback=_print_version,
    help="Show the version and exit.",
)  # fmt: skip
@click.pass_context
def group(ctx: click.Context) -> None:
    """Evidence and documents for PV, battery and charger installations, checked with reasons."""
    if ctx.invoked_subcommand is None:
        click.echo(ctx.get_help())


def main() -> None:
    """Runs the command line; the one place where errors become exit codes."""
    try:
        code = group.main(standalone_mode=False)
    except click.exceptions.Exit as left:
        code = left.exit_code
    except (click.Abort, KeyboardInterrupt):
        click.echo("interrupted; nothing half-made was left behind", err=True)
        code = INTERRUPTED
    except click.ClickException as wrong:
        wrong.show()
        code = UNUSABLE
    except ComplianceError as problem:
        click.echo(str(problem), err=True)
        code = UNUSABLE
    except BrokenPipeError:
        code = 0
    except Exception as fault:
        click.echo(our_fault(fault), err=True)
        code = OUR_FAULT
    sys.exit(code or 0)


def our_fault(fault: Exception) -> str:
    """What went wrong inside, without a word of the record: files, lines and the error's kind."""
    steps = [
        f"  {frame.filename.rpartition('compliance')[2]}:{frame.lineno} {frame.name}"
        for frame in traceback.extract_tb(fault.__traceback__)
    ]
    when = datetime.now().astimezone().isoformat(timespec="seconds")
    head = "This is our fault, not yours; your files are as they were. Please report these lines:"
    return "\n".join([head, f"  {type(fault).__name__} at {when}", *steps])
