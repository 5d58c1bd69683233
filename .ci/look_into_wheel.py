"""Fails where a wheel lacks a file of the package, or holds one too many: templates, tables, schemas, stubs."""

import sys
import zipfile
from pathlib import Path

CARRIED = {".py", ".pyi", ".html", ".css", ".js", ".toml", ".json", ".typed"}


def main() -> int:
    """Compare the one wheel of a folder with the repository."""
    (wheel,) = Path(sys.argv[1]).glob("reversal_debrief-*.whl")
    root = Path(__file__).parent.parent
    wanted = {
        path.relative_to(root).as_posix()
        for path in (root / "analyzer").rglob("*")
        if path.is_file() and (path.suffix in CARRIED or path.name == "py.typed")
    }
    held = {name for name in zipfile.ZipFile(wheel).namelist() if name.startswith("analyzer/")}
    for kind in (".html", ".toml", ".json", ".pyi"):
        if not any(name.endswith(kind) for name in held):
            print(f"{wheel.name}: holds no {kind} file at all")
            return 1
    for name in sorted(wanted - held):
        print(f"{wheel.name}: {name} is missing")
    for name in sorted(held - wanted):
        print(f"{wheel.name}: {name} is not in the repository")
    print(f"{wheel.name}: {len(held)} files of the package")
    return 0 if held == wanted else 1


if __name__ == "__main__":
    sys.exit(main())
