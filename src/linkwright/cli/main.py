"""The frame of the command line: the commands, and the one place where errors end.

`run` is the entry point. Exit codes: 0 done, 1 could not be done, 2 wrong input,
130 interrupted. No error reaches the user as a traceback.
"""

from __future__ import annotations

import contextlib
import os
import sys
import traceback
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Annotated, Any

import typer

from linkwright.cli import (
    alarm,
    books,
    calc,
    certificates,
    chart,
    checks,
    collect,
    compare,
    drive,
    eye,
    ingest,
    learn,
    link,
    month,
    plan,
    record,
    schema,
    serve,
    trace,
)
from linkwright.cli import open as opening
from linkwright.cli.show import fail
from linkwright.quantities import LinkwrightError, Problem

DONE, NOT_DONE, WRONG_INPUT, INTERRUPTED = 0, 1, 2, 130
"""The exit codes."""

HELP = """From an order for chain to the settings, papers and proof of a chain works.

Results go to standard output, everything else to standard error."""
EPILOG = """
Exit codes:

\b
  0    done
  1    could not be done
  2    wrong input
  130  interrupted

Example:

\b
  linkwright calc --find drawing
"""

app = typer.Typer(
    name="linkwright",
    help=HELP,
    epilog=EPILOG,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["--help", "-h"]},
)


def _version(wanted: bool) -> None:
    if wanted:
        from linkwright import __version__  # noqa: PLC0415

        print(f"linkwright {__version__}")
        raise typer.Exit


@app.callback(invoke_without_command=True)
def frame(
    context: typer.Context,
    version: Annotated[
        bool,
        typer.Option("--version", callback=_version, is_eager=True, help="Print the version."),
    ] = False,
) -> None:
    """Print the help if no command is given."""
    if context.invoked_subcommand is None:
        print(context.get_help())


# One line a command, in the order of the help.
app.command("plan", epilog=plan.EPILOG)(plan.plan)
app.command("demo", epilog=plan.DEMO_EPILOG)(plan.demo)
app.command("open", epilog=opening.EPILOG)(opening.open_number)
app.command("compare", epilog=compare.EPILOG)(compare.compare)
app.command("link", epilog=link.EPILOG)(link.link)
app.command("eye", epilog=eye.EPILOG)(eye.eye)
app.command("drive", epilog=drive.EPILOG)(drive.drive)
app.command("chart", epilog=chart.EPILOG)(chart.chart)
app.command("ingest", epilog=ingest.EPILOG)(ingest.ingest)
app.command("alarm", epilog=alarm.EPILOG)(alarm.alarm)
app.command("learn", epilog=learn.LEARN_EPILOG)(learn.learn)
app.command("causes", epilog=learn.CAUSES_EPILOG)(learn.causes)
app.command("books", epilog=books.BOOKS_EPILOG)(books.books)
app.command("record", epilog=record.EPILOG)(record.record)
app.command("enter", epilog=books.ENTER_EPILOG)(books.enter)
app.command("look", epilog=books.LOOK_EPILOG)(books.look)
app.command("certify", epilog=certificates.CERTIFY_EPILOG)(certificates.certify)
app.command("countersign", epilog=certificates.COUNTERSIGN_EPILOG)(certificates.countersign)
app.command("verify", epilog=certificates.VERIFY_EPILOG)(certificates.verify)
app.command("withdraw", epilog=certificates.WITHDRAW_EPILOG)(certificates.withdraw)
app.command("key", epilog=certificates.KEY_EPILOG)(certificates.key)
app.command("month", epilog=month.EPILOG)(month.month)
app.command("trace", epilog=trace.TRACE_EPILOG)(trace.trace)
app.command("clocks", epilog=trace.CLOCKS_EPILOG)(trace.clocks)
app.command("collect", epilog=collect.EPILOG)(collect.collect)
app.command("calc", epilog=calc.EPILOG)(calc.calc)
app.command("checks", epilog=checks.EPILOG)(checks.checks)
app.command("schema", epilog=schema.EPILOG)(schema.schema)
app.command("serve", epilog=serve.EPILOG)(serve.serve)


def run(arguments: Sequence[str] | None = None) -> None:
    """Carry out a command line and leave the process with its exit code."""
    words = list(sys.argv[1:] if arguments is None else arguments)
    _speak_plainly()
    code = _guarded(words)
    try:
        sys.stdout.flush()
    except OSError as error:
        code = _left_unwritten(error)
    sys.exit(code)


def _guarded(words: list[str]) -> int:
    """The exit code of a command line; every error is told here and nowhere else."""
    as_data = "--json" in (words[: words.index("--")] if "--" in words else words)
    try:
        ended = app(args=words, prog_name="linkwright", standalone_mode=False)
        code = ended if isinstance(ended, int) else DONE
    except (KeyboardInterrupt, typer.Abort):
        code = INTERRUPTED
    except BrokenPipeError as error:
        return _left_unwritten(error)
    except Exception as error:
        return _told(error, as_data=as_data)
    if code == INTERRUPTED:
        print("interrupted", file=sys.stderr)
    return code


def _told(error: Exception, *, as_data: bool) -> int:
    problems, code = _explained(error)
    try:
        fail(problems, as_data=as_data)
    except OSError as unwritten:
        return _left_unwritten(unwritten)
    return code


def _explained(error: Exception) -> tuple[list[dict[str, Any]], int]:
    """What is wrong, in the shape of all errors, and the exit code for it."""
    if isinstance(error, LinkwrightError):
        return error.problems(), error.exit_code
    if isinstance(error, typer.TyperException):
        return [_problem("usage", error.format_message().strip())], error.exit_code
    if isinstance(error, OSError):
        return [_problem("system", _system_sentence(error), error.filename)], NOT_DONE
    if isinstance(error, MemoryError):
        return [_problem("memory", "there is not enough memory for this")], NOT_DONE
    return [_problem("incident", _incident(error))], NOT_DONE


def _problem(code: str, message: str, file: Any = None) -> dict[str, Any]:
    return asdict(Problem(code, message, file=None if file is None else os.fsdecode(file)))


def _system_sentence(error: OSError) -> str:
    reason = error.strerror or str(error) or type(error).__name__
    return f"the system refused: {reason[:1].lower()}{reason[1:]}"


def _incident(error: Exception) -> str:
    """Which error arose where, in a form that can be reported: no traceback, no user data."""
    root = Path(__file__).parents[1]
    places = [
        f"{Path(step.filename).relative_to(root)}:{step.lineno}"
        for step in traceback.extract_tb(error.__traceback__)
        if Path(step.filename).is_relative_to(root)
    ]
    where = " < ".join(reversed(places[-4:]))
    return (
        "this is a mistake of the program, not of your input; "
        f"please report this incident: {type(error).__name__} at {where}"
    )


def _speak_plainly() -> None:
    """Let no character that a terminal cannot show become an error of its own."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="backslashreplace")


def _left_unwritten(error: OSError) -> int:
    """The output could not be written: say so unless the reader has merely gone away."""
    if not isinstance(error, BrokenPipeError):
        print(f"error: the output could not be written: {error.strerror}", file=sys.stderr)
    # nothing more can be written; without this the interpreter would complain at its end
    with contextlib.suppress(OSError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return NOT_DONE
