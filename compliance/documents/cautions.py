"""The words that every document carries: the cautions, and what it defers to.

Those in brief are for sheets of one page that hang on a wall.
"""

from __future__ import annotations

from compliance.documents.tree import Caution

DEFERENCE = (
    "Not a certificate. Local regulations and licensed practice come first; "
    "a competent person decides and signs."
)
DRAFT = "DRAFT: open gaps forbid issue. Not to be handed over or relied on."

CAUTIONS_IN_BRIEF = Caution(
    "Read this before you rely on this sheet",
    (
        "Solar panels are live whenever light falls on them, whatever is switched off; inverters "
        "and batteries stay live for a while or for good. This sheet was made from the record, "
        "without a look at the installation; what was not recorded may still be there.",
        "Local regulations, the network operator's conditions, the makers' instructions and "
        "licensed practice come first. This is no certificate and no permission to energise, and "
        "claims no switch for emergencies; a competent person decides and signs.",
    ),
)

CAUTIONS = Caution(
    "Read this before you rely on this document",
    (
        "A PV array is live whenever light falls on it; switching off does not make its cables "
        "safe. Batteries and capacitors stay live after the supply is switched off.",
        "This document was put together from what was recorded and handed in. Nobody looked at "
        "the installation in order to make it. What was not recorded is reported as not shown; "
        "that does not mean that it is in order.",
        "Calculations show their inputs and their source so that they can be checked. Where a "
        "source was not opened, the document says so: look it up before you rely on it.",
        "Local regulations, the network operator's conditions, the makers' instructions and "
        "licensed practice come before anything printed here. Where they differ, follow them.",
        "Nothing here certifies the installation or permits it to be energised. A competent "
        "person judges, decides and signs.",
    ),
)
