"""Photos and papers: is a file whole, when does it say it was taken, a copy fit to show.

Must not know rules. Start reading in `images.py`.
"""

from compliance.evidence.again import look_again
from compliance.evidence.copies import NothingToShowError, display_copy
from compliance.evidence.images import look
from compliance.evidence.seen import Seen

__all__ = ["NothingToShowError", "Seen", "display_copy", "look", "look_again"]
