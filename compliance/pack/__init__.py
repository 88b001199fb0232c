"""The issued set: one BagIt bag with hashes anyone can check, and its cover sheet.

Must not decide anything. Start reading in `assemble.py`.
"""

from compliance.pack.assemble import Issued, assemble
from compliance.pack.verify import Verified, verify

__all__ = ["Issued", "Verified", "assemble", "verify"]
