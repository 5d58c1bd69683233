"""Prints the lowest versions that pyproject.toml allows, one requirement a line, for `pip install -c`."""

import re
import sys
import tomllib
from pathlib import Path

content = tomllib.loads((Path(__file__).parent.parent / "pyproject.toml").read_text(encoding="utf-8"))
project = content["project"]
for requirement in [*project["dependencies"], *project["optional-dependencies"]["test"]]:
    found = re.fullmatch(r"([A-Za-z0-9_.-]+)>=([0-9.]+)", requirement)
    if found:
        print(f"{found[1]}=={found[2]}")
    elif "==" in requirement:
        print(requirement)
    else:
        sys.exit(f"pyproject.toml: {requirement} has no lowest version. Expected NAME>=VERSION")
