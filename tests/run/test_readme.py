"""README.md says what is true: its procedure file is one, its options exist, its commands stand on one line."""

import itertools
import re
import tomllib
from dataclasses import replace
from pathlib import Path

import click

from analyzer.reading.procedure_file.read import procedure_from_mapping
from analyzer.run.cli import reversal_debrief
from analyzer.run.demo.scenario import procedure_text

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def blocks() -> list[str]:
    """The indented blocks of README.md, without their indentation."""
    found = re.findall(r"(?:^    .*\n(?:\n(?=    ))?)+", README, flags=re.MULTILINE)
    return ["\n".join(line[4:] for line in block.splitlines()) for block in found]


def test_the_procedure_file_of_the_readme_is_the_samples() -> None:
    (text,) = [block for block in blocks() if block.startswith("title = ")]
    shown = procedure_from_mapping(tomllib.loads(text), "README.md")
    sample = procedure_from_mapping(tomllib.loads(procedure_text("vor_12.toml")), "README.md")
    # the README shows where a coded file writes its cycle; the sample has none
    assert replace(shown, defaults=frozenset(), notes=()) == replace(sample, defaults=frozenset(), notes=())


def test_every_option_of_the_readme_exists() -> None:
    known = {"--help"}
    for command in reversal_debrief.commands.values():
        for parameter in command.params:
            if isinstance(parameter, click.Option):
                known |= set(parameter.opts)
    lines = [line for line in README.splitlines() if "pip" not in line and "pytest" not in line]
    used = set(re.findall(r"(?<![\w-])--[a-z][a-z-]+", "\n".join(lines)))
    assert len(used) > 10
    assert used <= known


def test_every_command_of_the_readme_exists() -> None:
    used = set(re.findall(r"reversal-debrief ([a-z]+)", README))
    assert used == set(reversal_debrief.commands)


def test_the_two_commands_stand_on_one_line_each() -> None:
    commands = [block for block in blocks() if block.startswith("python3 -m venv")]
    assert len(commands) == 2
    assert all("\n" not in command for command in commands)
    assert "reversal-debrief demo" in commands[0]
    assert "pytest" in commands[1]


def test_links_of_the_readme_lead_somewhere() -> None:
    for target in re.findall(r"\]\(([^)#]+)\)", README):
        assert (ROOT / target).exists(), target


def test_cautions_are_said_before_the_first_command() -> None:
    before = README.split("## Two commands")[0]
    assert "not for navigation or flight planning" in before
    assert "licensed" in before


def test_the_files_that_commands_of_the_readme_name_are_there_or_written_by_one_before() -> None:
    """Each command works as it is printed, in the root of a fresh clone, one after the other."""
    lines = [line.split("#")[0].split() for block in blocks() for line in block.splitlines()]
    written: set[str] = set()
    commands = [words for words in lines if words[:1] == ["reversal-debrief"]]
    assert len(commands) > 6
    for words in commands:
        for before, word in itertools.pairwise(words):
            if before == "--output":
                written.add(word)
            elif word.endswith((".csv", ".gpx", ".toml", ".json")):
                assert word in written or (ROOT / word).is_file(), word
                if words[1] == "assess" and not word.endswith(".toml"):
                    written.add(f"reports/{Path(word).stem}.json")
