"""Older formats of a record, brought into today's while it is read.

Knows no models and no rules. Start at `steps.py`; each older format has a module that says
what changed after it, and a kept file in `tests/record/kept/`.
"""

from compliance.record.migrations.formats import FIRM, INSTALLATION, NewerFormatError
from compliance.record.migrations.steps import Migrated, in_todays_format

__all__ = ["FIRM", "INSTALLATION", "Migrated", "NewerFormatError", "in_todays_format"]
