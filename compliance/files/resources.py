"""Where the files that come with the program are: in a checkout or in an installed wheel."""

from __future__ import annotations

from pathlib import Path

from compliance.errors import ComplianceError

_PACKAGE = Path(__file__).resolve().parents[1]


class IncompleteInstallError(ComplianceError):
    """A folder that belongs to the program is not there."""

    id = "install.incomplete"

    def __init__(self, folder: str) -> None:
        super().__init__(
            f'The folder "{folder}" that belongs to this program is not there; '
            "the installation is incomplete. Install it again: pip install --force-reinstall "
            "installation-evidence"
        )


def rulesets_folder() -> Path:
    """The folder of the rulesets, limit tables and the register of sources."""
    return _folder("rulesets")


def shown_file(file: str) -> str:
    """A file's name as a person wants it: one of the program's own without where it is kept."""
    path, shipped = Path(file), rulesets_folder()
    return str(path.relative_to(shipped.parent)) if path.is_relative_to(shipped) else file


def templates_folder() -> Path:
    """The folder of the document templates."""
    return _folder("templates")


def _folder(name: str) -> Path:
    """A wheel carries the folder inside the package; a checkout has it beside the package."""
    shipped = _PACKAGE / "shipped" / name
    if shipped.is_dir():
        return shipped
    checkout = _PACKAGE.parent
    if (checkout / "pyproject.toml").is_file() and (checkout / name).is_dir():
        return checkout / name
    raise IncompleteInstallError(name)
