"""What `rules test` found, as lines and as data: examples that fail, mistakes that survive."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from compliance.cli.wrapping import wrapped
from compliance.errors import Place
from compliance.files.resources import shown_file
from compliance.rules.mutations import Mutation, Score, tried_mutations
from compliance.rules.rule import Rules
from compliance.rules.selftest import Tried, tried_examples


@dataclass(frozen=True, slots=True)
class Tested:
    """Every example tried and, unless left out, every mistake; `mutations` None if left out."""

    examples: tuple[Tried, ...]
    mutations: tuple[Mutation, ...] | None

    @classmethod
    def of(cls, rules: Rules, *, examples_only: bool) -> Tested:
        """The rules of a jurisdiction, tested.

        Raises:
            RulesetError: If an example or a listed survivor names what does not exist.
        """
        tried = tuple(tried_examples(rules))
        return cls(tried, None if examples_only else tried_mutations(rules))

    @property
    def failed(self) -> list[Tried]:
        """The examples that give something else than they say."""
        return [t for t in self.examples if not t.passed]

    @property
    def survivors(self) -> list[Mutation]:
        """The mistakes that no example notices."""
        return [m for m in self.mutations or () if not m.is_caught]

    @property
    def is_failed(self) -> bool:
        """Whether an example fails, or a mistake survives without a reason."""
        return bool(self.failed) or any(m.is_failure for m in self.survivors)

    @property
    def text(self) -> str:
        """All of it in lines; what is wrong first, the counts last."""
        lines: list[str] = []
        for t in self.failed:
            lines += [_at(t.place), *wrapped(f"{t.example}: should give {t.wanted}", indent="  ")]
            lines += wrapped(f"gives {t.given}", indent="    ")
        for mutation in sorted(self.survivors, key=lambda m: not m.is_failure):
            lines += _survivor(mutation)
        names = {t.requirement for t in self.examples}
        counts = f"{len(self.examples)} examples of {len(names)} requirements and questions, "
        lines += wrapped(f"{counts}{len(self.failed)} failed")
        return "\n".join([*lines, *self._score()])

    def _score(self) -> list[str]:
        if self.mutations is None:
            return []
        score = Score.of(self.mutations)
        percent = "none to try" if score.percent is None else f"{score.percent:.1f} %"
        with_reason = sum(not m.is_failure for m in self.survivors)
        without = len(self.survivors) - with_reason
        return wrapped(
            f"mutation score {percent}: caught {score.caught} of {score.tried} mistakes; "
            f"survivors: {with_reason} with a reason, {without} without"
        )

    @property
    def data(self) -> dict[str, Any]:
        """The same as plain data, for other programs."""
        failed = [
            {"requirement": t.requirement, "example": t.example, "file": t.place.file,
             "line": t.place.line, "wanted": t.wanted, "given": t.given}
            for t in self.failed
        ]  # fmt: skip
        mutation = None if self.mutations is None else self._mutation_data(self.mutations)
        return {"examples": len(self.examples), "failed": failed, "mutation": mutation}

    def _mutation_data(self, mutations: tuple[Mutation, ...]) -> dict[str, Any]:
        score = Score.of(mutations)
        survivors = [
            {"requirement": m.requirement, "file": m.place.file, "line": m.place.line,
             "change": m.change, "missing": m.missing, "reason": m.reason}
            for m in self.survivors
        ]  # fmt: skip
        return {
            "caught": score.caught,
            "tried": score.tried,
            "score_percent": score.percent,
            "survivors": survivors,
        }


def _at(place: Place) -> str:
    return str(replace(place, file=shown_file(place.file)))


def _survivor(mutation: Mutation) -> list[str]:
    lines = [_at(mutation.place)]
    if not mutation.is_failure:
        lines += wrapped(f"survives: {mutation.change}", indent="  ")
        return lines + wrapped(f"because: {mutation.reason}", indent="    ")
    lines += wrapped(f"no example notices: {mutation.change}", indent="  ")
    return lines + wrapped(f"missing: {mutation.missing}", indent="    ")
