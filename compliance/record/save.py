"""The one way in which a record is changed: edited, read back, checked, saved."""

from __future__ import annotations

import socket
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from compliance.files.write import Saved, save
from compliance.files.yaml import LIMIT_BYTES, parse_yaml
from compliance.record.edit import Change, edited
from compliance.record.load import Loaded, firm_of, record_from
from compliance.record.opened import FILE


def change_record(
    folder: Path, change_of: Callable[[Loaded], Change], firm: Path | None = None
) -> Saved:
    """Changes one thing in the record of a job folder.

    Args:
        folder: The job folder.
        change_of: Gives the change for the record as it is; nothing is saved if it raises.
        firm: The folder that holds `firm.yaml`; the one above the job if left out.

    Raises:
        ComplianceError: If the record cannot be read, before or after the change; nothing is
            saved then.
        SavingError: If it changed meanwhile or the disk refuses; nothing is lost.
    """
    path = folder / FILE
    with path.open("rb") as file:
        before = file.read(LIMIT_BYTES + 1)
    tree = parse_yaml(before, name=str(path))
    lender = firm_of(folder, firm)
    change = change_of(record_from(tree, folder, lender))
    after = edited(before, change, str(path))
    record_from(parse_yaml(after, name=f"{path} with your change"), folder, lender)
    return save(path, after, was=tree.sha256, when=datetime.now(), device=socket.gethostname())
