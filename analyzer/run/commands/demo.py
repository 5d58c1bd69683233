"""`demo`: the built-in flights, from end to end."""

from pathlib import Path

import click

from analyzer.run.commands.options import FILE
from analyzer.run.commands.terminal import finish, outcome_line, say_error, write_index


@click.command()
@click.option(
    "--output", default="reports", type=FILE, show_default=True, metavar="DIR", help="Folder for the reports."
)
def demo(output: Path) -> None:
    """Fly and debrief four invented flights and a lesson of 70 minutes."""
    from analyzer.run.demo.scenario import demo_jobs
    from analyzer.run.jobs import assess_one
    from analyzer.run.report_names import prepare_folder

    prepare_folder(output)
    outcomes = []
    for job in demo_jobs(output):
        outcome = assess_one(job)
        outcomes.append(outcome)
        if outcome.error is not None:
            say_error(outcome.error)
        else:
            click.echo(outcome_line(outcome, with_report=True))
    done = [outcome for outcome in outcomes if outcome.error is None]
    if done:
        click.echo(f"{write_index(output, outcomes)}: overview; open it in a browser")
    finish(len(done), len(outcomes))
