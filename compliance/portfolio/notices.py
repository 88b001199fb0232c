"""The duties to tell somebody, or to have somebody's word, about each part of a job.

How many days each leaves stands in `rulesets/gb/limits/deadlines.yaml`, with its source;
here stands only whom it concerns and which of a part's dates starts its clock.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from compliance.portfolio.calendars import NATIONS

HANDOVER = "handover"
NETWORK_AGREEMENT = "network agreement"
_ENGLAND_AND_WALES = ("GB-ENG", "GB-WLS")
_ANY_PART = ("array", "inverter", "battery", "charger", "circuit")


@dataclass(frozen=True, slots=True)
class Notice:
    """One duty.

    `name` is what the record's notifications call it; a handover is shown by the part's own
    date. `law` and `practice` name the limit tables of the two readings, where there is one.
    """

    name: str
    title: str
    parts: tuple[str, ...]
    law: str = ""
    practice: str = ""
    practice_from: str = "in_use"
    """The part's date that starts the clock of practice; that of the law is `in_use`."""
    nations: tuple[str, ...] = tuple(NATIONS)
    law_nations: tuple[str, ...] = tuple(NATIONS)
    dwellings_only: bool = False
    array_for_inverter: bool = False
    """Whether an array stands for its inverter where no part of the job is one."""
    above_kw: str = ""
    """The limit table of the capacity per phase above which there is the duty at all."""
    unless_above_kw: str = ""
    """The limit table of the capacity per phase above which another duty comes before it."""
    holds_up: str = HANDOVER
    done: str = "sent"
    """What happened on the day of a notice that is no longer open."""

    @property
    def is_before_work(self) -> bool:
        """Whether it is due before work starts, so that it is open while nothing has begun."""
        return self.practice_from == "started"


NOTICES = (
    Notice(NETWORK_AGREEMENT, "the network operator's agreement before work starts",
           ("inverter",), law="network_agreement_by_law_days",
           practice="network_agreement_days", practice_from="started",
           array_for_inverter=True, above_kw="told_afterwards_kw", holds_up="use",
           done="agreed"),
    Notice("network notice", "notice to the network operator", ("inverter", "battery"),
           law="network_notice_by_law_days", practice="network_notice_days",
           array_for_inverter=True, unless_above_kw="told_afterwards_kw"),
    Notice("network notice", "notice to the network operator", ("charger",),
           practice="charger_notice_days"),
    Notice("scheme certificate", "certificate in the scheme's register", ("array", "battery"),
           practice="scheme_certificate_working_days"),
    Notice("building regulations notice", "Building Regulations notice to the local authority",
           _ANY_PART, law="building_notice_working_days", practice="building_notice_days",
           nations=_ENGLAND_AND_WALES, dwellings_only=True),
    Notice("building regulations certificate", "Building Regulations certificate to the occupier",
           _ANY_PART, law="building_notice_working_days", practice="building_notice_days",
           nations=_ENGLAND_AND_WALES, dwellings_only=True),
    Notice(HANDOVER, "handover of the documents to the customer", _ANY_PART,
           law="owner_information_working_days", practice="handover_working_days",
           law_nations=_ENGLAND_AND_WALES, holds_up="payment", done="handed over"),
)  # fmt: skip


def concerns(notice: Notice, part: Mapping[str, Any], job: Mapping[str, Any]) -> bool:
    """Whether a duty is about a part of a job, its capacity left aside.

    Args:
        notice: The duty.
        part: The part, as `summary.notice_facts` keeps it.
        job: The same of the whole job.
    """
    if job["jurisdiction"] not in notice.nations:
        return False
    if notice.dwellings_only and job["building"] not in ("dwelling", ""):
        return False
    if part["kind"] == "array" and notice.array_for_inverter:
        return not any(other["kind"] == "inverter" for other in job["parts"])
    return part["kind"] in notice.parts
