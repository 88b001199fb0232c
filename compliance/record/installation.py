"""The whole record of one job: the root of `installation.yaml`."""

from __future__ import annotations

from typing import Annotated, Literal

from compliance.record.access import Scaffold
from compliance.record.array import Junction, String
from compliance.record.batch import Batch
from compliance.record.cables import Cable
from compliance.record.circuits import Bond, Circuit
from compliance.record.components import (
    Battery,
    CableProduct,
    Charger,
    Connector,
    ConnectorPair,
    ExportLimiter,
    Inverter,
    Module,
    Mounting,
    SurgeProduct,
    SwitchDisconnector,
)
from compliance.record.entry import Group
from compliance.record.equipment import AcIsolator, DcIsolator, SupplyIsolator
from compliance.record.evidence import Departure, Evidence, Judgement
from compliance.record.kinds import CollectionKind, FreeText, Tagged, Texts, WholeDay, words
from compliance.record.labels import Label, OldLabel
from compliance.record.people import Customer, Instrument, Organisation, Person
from compliance.record.site import (
    CircuitAlteration,
    Notification,
    Part,
    Plan,
    Site,
    StringAlteration,
    Visit,
)
from compliance.record.start import Material, Tariff
from compliance.record.surge import AcSurgeDevice, DcSurgeDevice
from compliance.record.tests import (
    CircuitInsulation,
    CircuitPolarity,
    Continuity,
    FaultCurrent,
    FrameContinuity,
    Insulation,
    LoopImpedance,
    LossOfMains,
    OpenCircuitVoltage,
    OperatingCurrent,
    Polarity,
    RcdButton,
    RcdTime,
    ShortCircuitCurrent,
    Switching,
)

AnyComponent = Annotated[
    Module
    | Inverter
    | Mounting
    | Connector
    | CableProduct
    | SwitchDisconnector
    | SurgeProduct
    | Battery
    | Charger
    | ExportLimiter,
    Tagged("category"),
]
AnyIsolator = Annotated[DcIsolator | AcIsolator | SupplyIsolator, Tagged("side")]
AnySurgeDevice = Annotated[DcSurgeDevice | AcSurgeDevice, Tagged("side")]
AnyTest = Annotated[
    Insulation
    | Polarity
    | OpenCircuitVoltage
    | ShortCircuitCurrent
    | OperatingCurrent
    | FrameContinuity
    | Continuity
    | CircuitInsulation
    | CircuitPolarity
    | LoopImpedance
    | FaultCurrent
    | RcdTime
    | RcdButton
    | LossOfMains
    | Switching,
    Tagged("test"),
]
AnyAlteration = Annotated[StringAlteration | CircuitAlteration, Tagged("altered")]
_complete = CollectionKind()
_so_far = CollectionKind(is_complete=False)


class Installation(Group):
    """Everything known about one job; what is not known is left out.

    `designed_to` names the documents it was designed to, for where more than one edition is
    permitted.
    """

    record: Literal["installation/2"]
    reference: FreeText
    jurisdiction: Annotated[str, words("GB-ENG", "GB-WLS", "GB-SCT", "GB-NIR")]
    title: FreeText
    closed: WholeDay | None = None
    designed_to: Annotated[tuple[str, ...] | None, Texts()] = None
    organisation: Organisation = Organisation()
    customer: Customer = Customer()
    plan: Plan = Plan()
    site: Site = Site()
    parts: Annotated[dict[str, Part] | None, _complete] = None
    disturbed: Annotated[dict[str, Material] | None, _complete] = None
    tariffs: Annotated[dict[str, Tariff] | None, _complete] = None
    people: Annotated[dict[str, Person] | None, _complete] = None
    instruments: Annotated[dict[str, Instrument] | None, _complete] = None
    scaffolds: Annotated[dict[str, Scaffold] | None, _complete] = None
    visits: Annotated[list[Visit] | None, _so_far] = None
    notifications: Annotated[list[Notification] | None, _so_far] = None
    components: Annotated[dict[str, AnyComponent] | None, _complete] = None
    strings: Annotated[dict[str, String] | None, _complete] = None
    connector_pairs: Annotated[dict[str, ConnectorPair] | None, _complete] = None
    isolators: Annotated[dict[str, AnyIsolator] | None, _complete] = None
    surge: Annotated[dict[str, AnySurgeDevice] | None, _complete] = None
    cables: Annotated[dict[str, Cable] | None, _complete] = None
    circuits: Annotated[dict[str, Circuit] | None, _complete] = None
    bonds: Annotated[dict[str, Bond] | None, _complete] = None
    junctions: Annotated[dict[str, Junction] | None, _complete] = None
    labels: Annotated[dict[str, Label] | None, _complete] = None
    old_labels: Annotated[dict[str, OldLabel] | None, _complete] = None
    batches: Annotated[dict[str, Batch] | None, _complete] = None
    tests: Annotated[list[AnyTest] | None, _so_far] = None
    alterations: Annotated[list[AnyAlteration] | None, _so_far] = None
    evidence: Annotated[dict[str, Evidence] | None, _so_far] = None
    departures: Annotated[list[Departure] | None, _so_far] = None
    judgements: Annotated[list[Judgement] | None, _so_far] = None
