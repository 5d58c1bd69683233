"""Every finding has its rule in DEVELOPERS.md, with a source and how well it is known; one table is made from data."""

import re
from pathlib import Path

import pytest

from analyzer.judged.findings import CODES
from analyzer.judged.findings.rules import RULES, table
from analyzer.standards.tolerances import STATUSES

PAGE = Path("DEVELOPERS.md").read_text(encoding="utf-8")
#: codes that a table names in its first column; one that ends in an ellipsis stands for all that begin so
NAMED = [
    code for line in PAGE.splitlines() if line.startswith("|") for code in re.findall("`([^`]+)`", line.split("|")[1])
]


@pytest.mark.parametrize("code", CODES)
def test_every_finding_has_a_rule(code: str) -> None:
    assert any(code == name or (name.endswith("…") and code.startswith(name[:-1])) for name in NAMED)


def test_the_rules_name_findings_that_exist_and_each_once() -> None:
    named = [code for rule in RULES for code in rule.codes]
    assert set(named) <= set(CODES)
    assert len(named) == len(set(named))


def test_every_rule_says_its_limit_its_source_and_its_status() -> None:
    for rule in RULES:
        assert rule.limit
        assert rule.source
        assert rule.status in STATUSES
    assert not any("{" in line for line in table()), "a tolerance that no set has"


def test_the_table_of_the_page_is_the_one_of_the_data() -> None:
    """Renew it with `python -m analyzer.judged.findings.rules`."""
    assert "\n".join(table()) in PAGE
