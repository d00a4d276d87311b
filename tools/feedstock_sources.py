"""Reads the source remarks of the reference table: which publication, which table, how well known.

Knows the wording used in `tools/reference/feedstocks.csv`. Knows nothing of values.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

#: What stands in the remark, the id in sources.toml, and the table or page.
CITED = (
    (r"^computed from the formula", "stoichiometry", ""),
    (r"technical bulletin 'How to Mix", "nraes54-bulletin", "Table A.1"),
    (r"NRAES-54(?! Table A\.1; seen)(?!\))(?!.{0,40}seen as reproduced)", "nraes54", "Table A.1"),
    (r"'Table 3\. Characteristics", "nraes54-table3", "Table 3"),
    (r"Golueke|Golueke 1972", "golueke1972", "Polprasert Table 3.1"),
    (r"Polprasert exercise", "polprasert", "exercise 3.4"),
    (r"IFCT 2017", "ifct2017", ""),
    (r"Adams et al\. 1951|C = VS/1\.8|VS/1\.8 =|C = \(100", "cornell-science", "C = VS/1.8"),
    (r"Richard & Trautmann", "cornell-science", ""),
    (r"Cornell Fact Sheet 2", "cornell-fs2", ""),
    (r"Cornell column 2021", "cornell-column-2021", ""),
    (r"Cornell Home Composting Slide", "cornell-slides", "Part III"),
    (r"Oregon DEQ", "oregon-deq", ""),
    (r"Massachusetts", "ma-factors", ""),
    (r"US EPA Volume|EPA grass", "us-epa-2016", ""),
    (r"CalRecycle", "calrecycle", ""),
    (r"NMSU", "nmsu-2009", ""),
    (r"Trautmann & Krasny", "trautmann-krasny", "Table 3-1"),
    (r"Solomon", "solomon", ""),
    (r"INRAE-CIRAD-AFZ|same feed table|feed tables", "feedtables", ""),
    (r"feed identification|same weak source", "feed-notes", ""),
    (r"UCSC manual", "ucsc-manual", "Unit 1.7"),
    (r"garden blog", "garden-page-alpaca", ""),
    (r"list A", "list-a", ""),
    (r"list B", "list-b", ""),
    (r"list C", "list-c", ""),
    (r"list D", "list-d", ""),
    (r"list E", "list-e", ""),
    (r"list F", "list-f", ""),
)  # fmt: skip


@dataclass(frozen=True)
class Citation:
    """Sources by id, the place in the first of them, and the weakest evidence mark."""

    source: str
    place: str
    evidence: str
    note: str


def citation(remark: str) -> Citation:
    """Return the citation in a remark; without any publication it is from memory."""
    found = [(name, place) for pattern, name, place in CITED if re.search(pattern, remark)]
    from_memory = "from memory" in remark or not found
    names = [name for name, _ in found] + (["from memory"] if from_memory else [])
    place = next((place for _, place in found if place), "")
    food = re.search(r"food ([A-Z]\d{3})", remark)
    return Citation(
        source="; ".join(dict.fromkeys(names)),
        place=f"food {food[1]}" if food else place,
        evidence=_evidence(remark, from_memory),
        note=_note(remark),
    )


def _evidence(remark: str, from_memory: bool) -> str:
    if from_memory:
        return "from memory"
    if re.search(r"derived|computed|crude protein", remark):
        return "derived"
    return "handbook" if "seen as reproduced" in remark else "seen"


def _note(remark: str) -> str:
    """Return what a reader must know of how weak the remark is."""
    notes = []
    if "range" in remark and "from memory" in remark:
        notes.append("part of the range or the likely value is from memory")
    if "unreferenced" in remark:
        notes.append("weak: a list without references")
    if "midpoint" in remark:
        notes.append("likely = midpoint of the range")
    return "; ".join(notes)
