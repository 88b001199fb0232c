"""The folders that come with the program, in a checkout and as a wheel lays them out."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest

from compliance.files import resources
from compliance.files.resources import IncompleteInstallError, rulesets_folder, templates_folder

REPOSITORY = Path(__file__).parents[2]
FOLDERS = [("rulesets", rulesets_folder), ("templates", templates_folder)]


@pytest.fixture
def installed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A package folder with nothing in it, in a folder of other packages."""
    package = tmp_path / "site-packages" / "compliance"
    package.mkdir(parents=True)
    monkeypatch.setattr(resources, "_PACKAGE", package)
    return package


@pytest.mark.parametrize(("name", "folder"), FOLDERS)
def test_in_a_checkout_the_folders_at_the_top_are_used(
    name: str, folder: Callable[[], Path], installed: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(resources, "_PACKAGE", REPOSITORY / "compliance")
    assert folder() == REPOSITORY / name


@pytest.mark.parametrize(("name", "folder"), FOLDERS)
def test_in_a_wheel_the_folders_inside_the_package_are_used(
    name: str, folder: Callable[[], Path], installed: Path
) -> None:
    (installed / "shipped" / name).mkdir(parents=True)
    (installed.parent / name).mkdir()  # another package of that name is none of ours
    assert folder() == installed / "shipped" / name


@pytest.mark.parametrize(("name", "folder"), FOLDERS)
def test_another_package_of_the_same_name_is_not_taken_for_ours(
    name: str, folder: Callable[[], Path], installed: Path
) -> None:
    (installed.parent / name).mkdir()
    with pytest.raises(IncompleteInstallError, match=f'"{name}".*Install it again'):
        folder()


def test_the_wheel_puts_the_folders_where_they_are_looked_for() -> None:
    project = tomllib.loads((REPOSITORY / "pyproject.toml").read_text("utf-8"))
    included = project["tool"]["hatch"]["build"]["targets"]["wheel"]["force-include"]
    for name, _ in FOLDERS:
        assert included[name] == f"compliance/shipped/{name}"
    assert project["project"]["name"] in str(IncompleteInstallError("rulesets"))
