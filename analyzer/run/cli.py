"""The command: its parts, one-line errors, exit codes. Everything heavy is imported by the command that needs it.

Exit status: 0 a report was written for every track, 1 some tracks could not be assessed, 2 nothing could be.
"""

import gc
import os
import signal
import sys

import click

from analyzer.errors import ProcedureFileError, ReversalDebriefError
from analyzer.run.commands.assess import assess
from analyzer.run.commands.brief import brief
from analyzer.run.commands.chart import chart
from analyzer.run.commands.demo import demo
from analyzer.run.commands.desk import desk
from analyzer.run.commands.fleet import fleet
from analyzer.run.commands.procedures import procedures
from analyzer.run.commands.progress import progress
from analyzer.run.commands.synthesize import synthesize
from analyzer.run.commands.terminal import NOTHING_DONE, SOME_FAILED, clear_progress, say_error
from analyzer.run.one_thread import VARIABLES
from analyzer.version import __version__

INTERRUPTED = 130


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, prog_name="reversal-debrief", message="%(prog)s %(version)s")
def reversal_debrief() -> None:
    """Debrief instrument course reversals from a flight log.

    Training debrief only, not for navigation or flight planning.
    """


for _command in (assess, brief, fleet, chart, synthesize, procedures, progress, demo, desk):
    reversal_debrief.add_command(_command)


def main() -> None:
    """Run the command and end the process with its exit status."""
    use_one_thread()
    collect_garbage_seldom()
    signal.signal(signal.SIGTERM, _end)
    sys.exit(run(sys.argv[1:]))


def use_one_thread() -> None:
    """Keep linear algebra to one thread, before numpy is loaded.

    The matrices here are small: more threads cost three times the time (measured on two cores), get in the way of
    other processes of the pool, and may add up numbers in another order, so that bytes would depend on the machine.
    """
    for name in VARIABLES:
        os.environ.setdefault(name, "1")


def collect_garbage_seldom() -> None:
    """Look for unreachable cycles of objects far less often than is usual.

    Imports and the page make hundreds of thousands of small objects that stay, and each look goes through them: a
    twentieth of the time of a run. Arrays, which hold the memory, are freed when their last name goes, without it.
    """
    gc.set_threshold(100_000, 20, 20)


def run(arguments: list[str]) -> int:
    """Run the command; returns the exit status."""
    try:
        returned = reversal_debrief.main(arguments, prog_name="reversal-debrief", standalone_mode=False)
    except click.exceptions.NoArgsIsHelpError as error:
        click.echo(error.format_message(), err=True)
        return NOTHING_DONE
    except click.ClickException as error:
        context = getattr(error, "ctx", None)
        command = "reversal-debrief" if context is None else context.command_path
        said = " ".join(error.format_message().split())
        say_error(f"{command}: {said} See {command} --help")
        return NOTHING_DONE
    except ReversalDebriefError as error:
        several = isinstance(error, ProcedureFileError)  # a line for each problem; elsewhere an option holds the break
        say_error(str(error) if several else str(error).replace("\n", " "))
        return NOTHING_DONE
    except (KeyboardInterrupt, click.Abort):
        clear_progress()
        say_error("interrupted; the reports written so far are whole")
        return INTERRUPTED
    except BrokenPipeError:
        # the reader of our output has gone; keep the interpreter from complaining about it at its end
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return SOME_FAILED
    return returned if isinstance(returned, int) else 0


def _end(number: int, frame: object) -> None:
    raise KeyboardInterrupt
