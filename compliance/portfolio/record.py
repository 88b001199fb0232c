"""A draw as a file: what was drawn, from what and how, so that it can be repeated or go on."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict
from pathlib import Path
from typing import Any

from compliance.errors import Place
from compliance.portfolio.draw import Draw
from compliance.portfolio.frame import Frame
from compliance.portfolio.problems import FrameChangedError, NotADrawError

METHOD = "in the order of SHA-256 of seed|reference (UTF-8, hexadecimal), within each stratum"


def draw_data(draw: Draw, by: str) -> dict[str, Any]:
    """A draw as plain data."""
    return {
        "format": 1,
        "method": METHOD,
        "seed": draw.seed,
        "frame_sha256": draw.frame_sha256,
        "stratified_by": by,
        "strata": [
            {"name": name, "jobs": count, "drawn": draw.sizes.get(name, 0),
             "each_stands_for": draw.weights().get(name, 0.0)}
            for name, count in draw.population.items()
        ],
        "jobs": [asdict(job) for job in draw.jobs],
    }  # fmt: skip


def earlier(path: Path, frame: Frame) -> tuple[str, Mapping[str, str]]:
    """The seed and the replacements of a draw that is to go on from the same list.

    Raises:
        NotADrawError: If the file holds no draw.
        FrameChangedError: If the list is another one now.
    """
    place = Place(str(path))
    try:
        data = json.loads(path.read_text("utf-8"))
        seed, was = str(data["seed"]), str(data["frame_sha256"])
        replaced = {str(j["reference"]): str(j["instead"]) for j in data["jobs"] if j["instead"]}
    except (ValueError, KeyError, TypeError, OSError) as fault:
        raise NotADrawError.of(fault, place) from None
    if was != frame.sha256:
        raise FrameChangedError(was, frame.sha256, place)
    return seed, replaced
