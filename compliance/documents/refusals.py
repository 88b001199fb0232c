"""What can be the matter with a template, or with what it is given; one class per cause."""

from __future__ import annotations

from collections.abc import Collection

from compliance.errors import DocumentError, Place


class TemplateError(DocumentError):
    """A template cannot be used as it is written."""


class FrontMatterError(TemplateError):
    """The lines between `---` on top do not say what the template is and needs."""

    id = "template.front-matter"

    def __init__(self, place: Place, what: str) -> None:
        super().__init__(
            f"{what}. A template starts with a line ---, the lines `title`, `kind`, "
            "`needs: [names of values]` and `tables: [names of tables]`, and a line ---",
            place,
        )


class UnreadableError(TemplateError):
    """The template engine does not understand the braces."""

    id = "template.unreadable"

    def __init__(self, place: Place, what: str) -> None:
        super().__init__(
            f"the part in braces here is not understood: {what}. "
            "Write {{ name }}, {% for a in b %} .. {% endfor %} or {% if a %} .. {% endif %}",
            place,
        )


class NotAllowedError(TemplateError):
    """A template may only put values in, repeat and leave out; everything else is a rule's work."""

    id = "template.not-allowed"

    def __init__(self, place: Place, what: str) -> None:
        super().__init__(
            f"{what} cannot stand in a template. It may hold {{{{ name }}}}, {{{{ name.part }}}}, "
            "{% for %}, {% if %} with and, or, not, and the blocks table('name'), "
            "signature('who'), notice('heading', text), cautions()",
            place,
        )


class NotOurMarkdownError(TemplateError):
    """Markdown beyond headings, paragraphs, lists, emphasis and strong emphasis."""

    id = "template.not-our-markdown"

    def __init__(self, place: Place, what: str) -> None:
        super().__init__(
            f"{what} cannot be printed. Write headings (#, ##, ###), paragraphs, lists of one "
            "paragraph an item, *emphasis* and **strong emphasis**; escape a sign with \\",
            place,
        )


class NotAloneError(TemplateError):
    """A table, signature, notice or the cautions amid other words."""

    id = "template.not-alone"

    def __init__(self, place: Place) -> None:
        super().__init__(
            "a block stands amid other words here. Leave an empty line before and after it, "
            "and put it neither in a list nor in a heading",
            place,
        )


class NamesDifferError(TemplateError):
    """The front matter lists other names than the template uses."""

    id = "template.names-differ"

    def __init__(self, place: Place, key: str, unlisted: Collection[str], unused: Collection[str]):
        said = [f"uses {_names(unlisted)} without listing it"] if unlisted else []
        said += [f"lists {_names(unused)} without using it"] if unused else []
        super().__init__(
            f"the template {' and '.join(said)}; `{key}` lists exactly what is used", place
        )


class ValuesDifferError(DocumentError):
    """A template was given more or fewer values or tables than it needs."""

    id = "document.values-differ"

    def __init__(self, place: Place, missing: Collection[str], extra: Collection[str]) -> None:
        said = [f"needs {_names(missing)} and was not given it"] if missing else []
        said += [f"was given {_names(extra)} and does not use it"] if extra else []
        super().__init__(f"the template {' and '.join(said)}", place)


class NoSuchPartError(DocumentError):
    """A value lacks the part that the template reads from it, or is no list where one is needed."""

    id = "document.no-such-part"

    def __init__(self, place: Place, what: str) -> None:
        super().__init__(f'"{place.field}" {what}', place)


def _names(names: Collection[str]) -> str:
    return ", ".join(f'"{name}"' for name in sorted(names))
