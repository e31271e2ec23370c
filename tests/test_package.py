"""What is handed out: the package with its queries, templates and demonstration fleet, and nothing left over."""

from __future__ import annotations

import re
import tarfile
import tomllib
from pathlib import Path

from fresh_python import ROOT, fresh_python


def files_below(folder: Path) -> set[str]:
    paths = (path for path in folder.rglob("*") if path.is_file())
    return {path.relative_to(folder).as_posix() for path in paths if "__pycache__" not in path.parts}


def test_the_wheel_holds_the_package_and_its_demonstration_fleet(installed: Path) -> None:
    expected = files_below(ROOT / "reliability")
    expected |= {f"demo_data/{name}" for name in files_below(ROOT / "data" / "demo")}
    assert {path.name for path in installed.iterdir()} == {"reliability", "driveyears-0.1.0.dist-info"}
    assert files_below(installed / "reliability") == expected
    assert {"py.typed", "loaders/queries/stays.sql", "report/templates/page.html"} < expected


def test_the_wheel_holds_no_compiled_code(installed: Path) -> None:
    assert [
        path for path in installed.rglob("*") if path.name == "__pycache__" or path.suffix == ".pyc"
    ] == []


def test_the_installed_package_is_the_one_that_is_run(installed: Path) -> None:
    where = "import reliability; print(reliability.__file__)"
    told = fresh_python("-c", where, folder=installed.parent, package=installed)
    assert Path(told.strip()) == installed / "reliability" / "__init__.py"


def test_the_source_archive_is_enough_to_test_with(tmp_path: Path) -> None:
    fresh_python("-m", "hatchling", "build", "-t", "sdist", "-d", str(tmp_path))
    (archive,) = tmp_path.glob("*.tar.gz")
    with tarfile.open(archive) as packed:
        names = {name.partition("/")[2] for name in packed.getnames()}
    wanted = {f"{top}/{name}" for top in ("reliability", "tests", "docs") for name in files_below(ROOT / top)}
    assert wanted | {"README.md", "DEVELOPERS.md", "LICENSE", "constraints.txt", ".ci/run"} <= names
    assert not {name for name in names if "__pycache__" in name or name.endswith(".pyc")}


def test_the_constraints_name_a_version_of_every_dependency_and_no_place() -> None:
    text = (ROOT / "constraints.txt").read_text(encoding="utf-8")
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    extras = [name for extra in project["optional-dependencies"].values() for name in extra]
    wanted = [name for name in (*project["dependencies"], *extras) if not name.startswith(project["name"])]
    pinned = {line.partition("==")[0] for line in text.splitlines() if "==" in line}
    assert {re.split("[<>=]", name)[0] for name in wanted} <= pinned
    assert "://" not in text
    assert " @ " not in text
