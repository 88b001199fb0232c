"""Invented records for the two sheets: ordinary, awkward, half empty; nobody in them exists."""

from __future__ import annotations

HEAD = """\
record: installation/1
reference: J-1
jurisdiction: GB-ENG
title: An invented job
closed: 2026-11-20
"""

ORDINARY = (
    HEAD
    + """\
organisation: {name: Hollin Bank Electrical (invented), phone: 01632 960101}
site: {address: 7 Invented Lane, lowest_cell_c: -15, supply: {operator: "Wires, 01632 960199"}}
people: {rowan: {name: Rowan Vale (invented)}, ash: {name: Ash Merrin (invented)}}
components:
  m1: {category: module, voc_v: 40, voc_coefficient_percent_per_k: -0.25}
  i1: {category: inverter, island_mode: no}
strings:
  S1: {modules: m1, in_series: 8, face: south, input: {inverter: i1}}
  S2: {modules: m1, in_series: 8, face: west, input: {inverter: i1}}
isolators:
  main: {side: supply, place: hall cupboard, reached: from the floor, opens: all lines and neutral}
  dc1:
    {side: dc, serves: [S1, S2], place: garage, reached: from the floor, breaks_positive: 2,
     breaks_negative: 2}
  ac1:
    {side: ac, serves: i1, place: beside the door, opens: all lines and neutral,
     network_terminals: bottom, lockable: yes, reached: from the floor}
circuits: {C9: {feeds: i1, board: "house board, way 9"}}
junctions: {j1: {place: loft}}
labels: {l1: {kind: shutdown order, place: inverter, names: [ac1, dc1, main]}}
visits:
  - on: 2026-11-18T16:30
    who: [ash]
    done: Cables run
    left:
      work: locked off
      dc_ends: insulated
      locked_off: ac1
      key_with: rowan
      roof: covered for now
      openings: guarded
      ladders: taken away
      told: the occupier, keep out of the loft
      told_by: ash
    next_on: 2026-11-24
    next_who: [ash, rowan]
  - {on: 2026-11-17, done: Rails fixed}
  - {on: 2026-11-24, done: Written down before the day}
"""
)

HALF_EMPTY = HEAD + "strings: {S1: {in_series: 8}}\n"

LONG = "Behind the third panel from the left in the eaves cupboard of the back bedroom " * 3


def awkward() -> str:
    """Twelve strings on two inverters, long names, places that fill lines, nothing complete."""
    strings = [f"String-{n}-of-the-upper-south-western-roof" for n in range(1, 13)]
    inverters = ["Inverter-left-hand-wall-of-the-garage", "Inverter-loft"]
    lines = ["components:", "  m1: {category: module, voc_v: 40, isc_a: 14}"]
    lines += [f"  {name}: {{category: inverter}}" for name in inverters]
    lines.append("strings:")
    for number, name in enumerate(strings):
        feeds = f"input: {{inverter: {inverters[number // 6]}}}"
        lines.append(f"  {name}: {{modules: m1, in_series: {number + 8}, {feeds}}}")
    lines.append("isolators:")
    for number, name in enumerate(strings[:-1]):
        place = f"place: {LONG.strip()}" if number % 2 else "reached: by a loose ladder"
        lines.append(f"  dc-{number + 1}: {{side: dc, serves: {name}, {place}}}")
    lines.append(f"  ac-1: {{side: ac, serves: {inverters[0]}, opens: all lines}}")
    lines.append(f"labels: {{l1: {{kind: shutdown order, names: [dc-1, ac-1], wording: {LONG}}}}}")
    lines.append("parts: {roof: {kind: array}, wall: {kind: inverter}, store: {kind: battery}}")
    return HEAD + "\n".join(lines) + "\n"
