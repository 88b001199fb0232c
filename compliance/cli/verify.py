"""`compliance verify`: whether an issued pack is whole and unchanged."""

from __future__ import annotations

import json
from pathlib import Path

import click

from compliance.cli import HELD_UP
from compliance.errors import CallError


@click.command(name="verify")
@click.argument("pack", type=click.Path(path_type=Path))
@click.option("--root", metavar="NUMBER", help="The number on the cover sheet, whole or its start.")
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text")
def command(pack: Path, root: str | None, form: str) -> None:
    """Say whether PACK is whole and unchanged; exit code 1 if anything differs.

    Hashes inside a pack only prove that it agrees with itself. Compare the root with the
    one on the cover sheet that was handed over, or give it as --root.
    """
    from compliance.pack import verify

    if not pack.is_dir():
        raise CallError(f'"{pack}" is no folder; name the folder of a pack, which holds bagit.txt')
    inside = sorted(path.parent.name for path in pack.glob("*/bagit.txt"))
    if inside and not (pack / "bagit.txt").exists():
        raise CallError(f'"{pack}" holds packs; name one of them: {", ".join(inside[:6])}')
    found = verify(pack, expected_root="".join((root or "").split()))
    if form == "json":
        problems = [{"id": p.id, "what": p.what} for p in found.problems]
        data = {
            "format": 1, "ok": found.ok, "root": found.root, "pack_id": found.pack_id,
            "files": found.files, "problems": problems,
        }  # fmt: skip
        click.echo(json.dumps(data, ensure_ascii=False, indent=2))
    else:
        for problem in found.problems:
            click.echo(f"{problem.what}  ({problem.id})")
        if found.ok:
            click.echo(f"whole and unchanged: {found.files} files, pack {found.pack_id}")
            click.echo(f"root {found.root}")
            if root is None:
                click.echo("Compare the root with the cover sheet that was handed over.")
        else:
            click.echo(f"NOT as it was issued: {len(found.problems)} differences")
    if not found.ok:
        raise click.exceptions.Exit(HELD_UP)
