"""Why a file is not strict YAML: one class a cause, each with its own sentence.

about the whole file        too large, not UTF-8, empty, not lines of `name: value`
about characters            control, invisible, half of one
more than plain text        anchors, aliases, tags, merge keys, directives, second documents
about names                 twice, compound, empty
about size                  too deep, too many, too long
read otherwise than meant   glued `#`, tabs, lines that would run on, `> 200`
grammar                     reading cannot go on after these
"""

from __future__ import annotations

from compliance.errors import Place, WrittenError
from compliance.files.written import shown

# The whole file


class TooLargeError(WrittenError):
    """More bytes than are read."""

    id = "yaml.too-large"

    def __init__(self, place: Place, size: int, limit: int) -> None:
        super().__init__(
            f"The file is {size:,} bytes; at most {limit:,} are read. "
            "Keep a long table in a CSV file beside it and name that file here",
            place,
        )


class NotUtf8Error(WrittenError):
    """A byte that UTF-8 does not have there."""

    id = "yaml.not-utf-8"

    def __init__(self, place: Place, byte: int) -> None:
        super().__init__(
            f"The byte 0x{byte:02X} on this line is not UTF-8, so the text was saved in an older "
            "encoding or is damaged. Save the file as UTF-8, then check the words on this line",
            place,
        )


class WideEncodingError(WrittenError):
    """UTF-16 or UTF-32."""

    id = "yaml.utf-16"

    def __init__(self, place: Place, encoding: str) -> None:
        super().__init__(
            f"The file is saved as {encoding}. Save it as UTF-8: editors offer that under "
            '"save as" or "encoding"',
            place,
        )


class EmptyFileError(WrittenError):
    """Nothing but blank lines and comments."""

    id = "yaml.empty"

    def __init__(self, place: Place) -> None:
        super().__init__(
            "The file holds nothing to read, only blank lines or comments. "
            "Write its fields as lines of `name: value`",
            place,
        )


class NotAMappingError(WrittenError):
    """The top level is a list or a text."""

    id = "yaml.top-level"

    def __init__(self, place: Place, found: str) -> None:
        super().__init__(
            f"The file starts with {found}; it must be lines of `name: value`, "
            "with a space after each colon",
            place,
        )


class TooManyProblemsError(WrittenError):
    """Reading stopped before the end of the file."""

    id = "yaml.too-many-problems"

    def __init__(self, place: Place, count: int) -> None:
        super().__init__(
            f"There are {count} problems up to here; the rest of the file was not looked at. "
            "Put these right and read it again",
            place,
        )


# Characters


class ControlCharacterError(WrittenError):
    """A character that can't be seen or printed."""

    id = "yaml.control-character"

    def __init__(self, place: Place, character: str) -> None:
        super().__init__(
            f"U+{ord(character):04X} stands here, a control character that no document can print. "
            "Delete it; it often comes with pasted text",
            place,
        )


class InvisibleCharacterError(WrittenError):
    """A character that takes no room, or turns the writing direction."""

    id = "yaml.invisible-character"

    def __init__(self, place: Place, character: str) -> None:
        super().__init__(
            f"U+{ord(character):04X} stands here, a character nobody can see. "
            "Delete it by typing this word anew; it often comes with pasted text",
            place,
        )


class HalfCharacterError(WrittenError):
    r"""An escape such as `\ud800`, which is half of a character."""

    id = "yaml.half-character"

    def __init__(self, place: Place, character: str) -> None:
        super().__init__(
            f'"\\u{ord(character):04x}" is only half of a character. '
            "Write the character itself instead",
            place,
        )


# More than plain text


class AnchorUsedError(WrittenError):
    """`&name` marks a value for use elsewhere."""

    id = "yaml.anchor"

    def __init__(self, place: Place, anchor: str) -> None:
        super().__init__(
            f'"{shown(anchor)}" names a value so that it can be repeated; here every value is '
            "written out. Delete it, or put the value in quotes if the & belongs to the text",
            place,
        )


class AliasUsedError(WrittenError):
    """`*name` repeats a value from elsewhere."""

    id = "yaml.alias"

    def __init__(self, place: Place, alias: str) -> None:
        super().__init__(
            f'"{shown(alias)}" repeats a value from elsewhere. '
            "Write the value out, or put it in quotes if the * belongs to the text",
            place,
        )


class TagUsedError(WrittenError):
    """`!tag` says of what type a value is."""

    id = "yaml.tag"

    def __init__(self, place: Place, tag: str) -> None:
        super().__init__(
            f'"{shown(tag)}" says of what type a value is; the field says that already. '
            "Delete the word that starts with !, or put the value in quotes if it is text",
            place,
        )


class MergeKeyError(WrittenError):
    """`<<` takes over the fields of another mapping."""

    id = "yaml.merge-key"

    def __init__(self, place: Place) -> None:
        super().__init__(
            '"<<" takes over fields from elsewhere. Write the fields out where they belong', place
        )


class DirectiveUsedError(WrittenError):
    """A line that starts with `%`."""

    id = "yaml.directive"

    def __init__(self, place: Place, directive: str) -> None:
        super().__init__(
            f'"{shown(directive)}" tells a YAML reader how to read. '
            "Delete the line: every file is read as YAML 1.2",
            place,
        )


class SecondDocumentError(WrittenError):
    """A second document in the same file."""

    id = "yaml.second-document"

    def __init__(self, place: Place) -> None:
        super().__init__(
            'A second document starts after "---" or "...". '
            "Keep one document a file: delete the mark, or move what follows to its own file",
            place,
        )


# Names


class DuplicateKeyError(WrittenError):
    """One name twice in one mapping."""

    id = "yaml.duplicate-key"

    def __init__(self, place: Place, key: str, first_line: int) -> None:
        super().__init__(
            f'"{shown(key)}" stands here already, on line {first_line}. '
            "Keep one of the two, or give this one its own name",
            place,
        )


class CompoundKeyError(WrittenError):
    """A list or mapping where a name is needed."""

    id = "yaml.compound-key"

    def __init__(self, place: Place) -> None:
        super().__init__(
            "A list or a group of fields stands where a name is needed, before the colon. "
            "Write a word, or put it in quotes if the brackets belong to the name",
            place,
        )


class EmptyKeyError(WrittenError):
    """Nothing before the colon."""

    id = "yaml.empty-key"

    def __init__(self, place: Place) -> None:
        super().__init__(
            "There is no name before the colon. Write the field's name, such as `place: loft`",
            place,
        )


# Size


class TooDeepError(WrittenError):
    """Lists and mappings nested deeper than any file of ours needs."""

    id = "yaml.too-deep"

    def __init__(self, place: Place, limit: int) -> None:
        super().__init__(
            f"Here lists and fields stand more than {limit} deep in one another. "
            "Look for an extra bracket or for indentation that grows by itself",
            place,
        )


class TooManyValuesError(WrittenError):
    """More names and values than are read."""

    id = "yaml.too-many-values"

    def __init__(self, place: Place, limit: int) -> None:
        super().__init__(
            f"The file has more than {limit:,} names and values up to here. "
            "Keep a long table in a CSV file beside it and name that file here",
            place,
        )


class TooLongError(WrittenError):
    """One text longer than a document can hold."""

    id = "yaml.too-long"

    def __init__(self, place: Place, length: int, limit: int) -> None:
        super().__init__(
            f"This text has {length:,} characters; at most {limit:,} fit. "
            "Shorten it, or keep it in its own file as evidence",
            place,
        )


# Read otherwise than meant


class GluedHashError(WrittenError):
    """` #2` would be dropped as a comment."""

    id = "yaml.glued-hash"

    def __init__(self, place: Place, dropped: str) -> None:
        super().__init__(
            f'"{shown(dropped)}" would be left out as a comment. Put the whole value in quotes '
            "if it belongs to it; write a space after the # if it is a comment",
            place,
        )


class TabUsedError(WrittenError):
    """A tab where YAML wants spaces."""

    id = "yaml.tab"

    def __init__(self, place: Place) -> None:
        super().__init__(
            "A tab stands here. Write spaces instead: two for each step further in, one after a "
            "colon or dash, none at the end of a line. "
            "If the tab belongs to the value, put the value in quotes",
            place,
        )


class RunOnError(WrittenError):
    """A line that looks like an entry or field, but would join the text above it."""

    id = "yaml.run-on"

    def __init__(self, place: Place, line: str, value: str) -> None:
        super().__init__(
            f'"{shown(line)}" would be joined to the value above it, "{shown(value, 30)}". '
            "For a list, start each dash below the one above and leave nothing after the name's "
            "colon; for a field, start below the field above and write a space after the colon; "
            "for text, use quotes",
            place,
        )


class BlockMarkError(WrittenError):
    """`> 200`: the mark of a block of text, with something behind it."""

    id = "yaml.block-mark"

    def __init__(self, place: Place, mark: str, rest: str) -> None:
        if mark == ">" and rest[:1].isdigit():
            right = f'Write `over {shown(rest)}`, or put it in quotes: "> {shown(rest)}"'
        else:
            right = "Put the value in quotes, or start the text on the next line"
        super().__init__(
            f'"{mark}" at the start of a value announces lines of text below it, '
            f'yet "{shown(rest)}" follows. {right}',
            place,
        )


# Grammar: reading cannot go on after these


class ColonInValueError(WrittenError):
    """`note: R1: 2`."""

    id = "yaml.colon-in-value"

    def __init__(self, place: Place, value: str) -> None:
        super().__init__(
            f'"{shown(value)}" has a colon and a space inside the value, which would make it a '
            "name. Put the whole value in quotes; if two fields were meant, start a new line "
            "(inside braces, put a comma between them)",
            place,
        )


class ColonWithoutSpaceError(WrittenError):
    """`name:value`."""

    id = "yaml.colon-without-space"

    def __init__(self, place: Place, line: str) -> None:
        name, _, value = line.partition(":")
        super().__init__(
            f'"{shown(line)}" needs a space after the colon: `{shown(name, 30)}: '
            f"{shown(value, 30)}`. Put it in quotes if it is one text",
            place,
        )


class DashWithoutSpaceError(WrittenError):
    """`-entry`."""

    id = "yaml.dash-without-space"

    def __init__(self, place: Place, line: str) -> None:
        super().__init__(
            f'"{shown(line)}" needs a space after the dash to be an entry of the list: '
            f"`- {shown(line[1:], 30)}`",
            place,
        )


class NoColonError(WrittenError):
    """A line of text among fields."""

    id = "yaml.no-colon"

    def __init__(self, place: Place, line: str) -> None:
        super().__init__(
            f'"{shown(line)}" stands among fields but is no `name: value`. '
            "Give it a name and a colon; if it goes on from the line above, put that value in "
            "quotes; write # and a space before it if it is a comment",
            place,
        )


class OpenQuoteError(WrittenError):
    """A quote that is not closed, or only by a later one."""

    id = "yaml.open-quote"

    def __init__(self, place: Place, quote: str, stopped_at: int) -> None:
        inner = 'Write \\" for a quote inside' if quote == '"' else "Write '' for one inside"
        super().__init__(
            f"The quote {quote} opened here is not closed on its line; reading stopped at line "
            f"{stopped_at}. Write {quote} at the end of the text too. {inner}",
            place,
        )


class AfterQuoteError(WrittenError):
    """`"Roof" face`, or `'didn't'`."""

    id = "yaml.after-quote"

    def __init__(self, place: Place, rest: str, quote: str) -> None:
        if quote == '"':
            right = 'with \\" for a quote inside, or single quotes around it'
        else:
            right = "with '' for an apostrophe inside, or double quotes around it"
        super().__init__(
            f'"{shown(rest)}" follows a closed quote. '
            f"Put the whole value inside one pair of quotes, {right}",
            place,
        )


class AfterBracketError(WrittenError):
    """`[sic] the label`."""

    id = "yaml.after-bracket"

    def __init__(self, place: Place, rest: str, bracket: str) -> None:
        super().__init__(
            f'"{shown(rest)}" follows a closed {bracket}. Put the whole value in quotes if the '
            "brackets belong to the text, or start a new line",
            place,
        )


class UnknownEscapeError(WrittenError):
    r"""`"C:\roof"`."""

    id = "yaml.escape"

    def __init__(self, place: Place, escape: str) -> None:
        super().__init__(
            f'"{shown(escape)}" means nothing inside double quotes. Write \\\\ for a backslash, '
            "or put the text in single quotes",
            place,
        )


class OpenBracketError(WrittenError):
    """A bracket that is not closed, or entries that no comma separates."""

    id = "yaml.open-bracket"

    def __init__(self, place: Place, bracket: str, line: int, found: str) -> None:
        closing = "]" if bracket == "[" else "}"
        until = f'before "{shown(found)}" on line {line}' if found else "at the end of the file"
        super().__init__(
            f"The {bracket} opened here is still open {until}. "
            f"Close it with {closing}, or put one comma between its entries",
            place,
        )


class ExtraCommaError(WrittenError):
    """Two commas in a row, or one before the first entry."""

    id = "yaml.extra-comma"

    def __init__(self, place: Place) -> None:
        super().__init__(
            "A comma stands where an entry is needed. Delete it, or write the entry before it; "
            "an entry that starts with a comma needs quotes",
            place,
        )


class StrayBracketError(WrittenError):
    """A closing bracket that closes nothing."""

    id = "yaml.stray-bracket"

    def __init__(self, place: Place, bracket: str) -> None:
        super().__init__(
            f"The {bracket} here closes nothing that was opened with "
            f"{'[' if bracket == ']' else '{'}. Delete it, or put the value in quotes",
            place,
        )


class ReservedCharacterError(WrittenError):
    """A value that starts with a character YAML keeps for itself."""

    id = "yaml.reserved-character"

    def __init__(self, place: Place, character: str) -> None:
        super().__init__(
            f'"{shown(character)}" can\'t start a name or value, as YAML keeps it for itself. '
            "Put the whole name or value in quotes",
            place,
        )


class ListAfterNameError(WrittenError):
    """`name: - entry`."""

    id = "yaml.list-after-name"

    def __init__(self, place: Place, entry: str) -> None:
        super().__init__(
            f'"{shown(entry)}" starts a list on the line of its name. '
            "Put each entry on its own line below the name, or put the value in quotes",
            place,
        )


class MisalignedError(WrittenError):
    """A line that lines up with nothing above it."""

    id = "yaml.misaligned"

    def __init__(self, place: Place, line: str) -> None:
        super().__init__(
            f'"{shown(line)}" lines up with nothing above it. Start it below the first letter of '
            "the field or the dash of the entry it belongs beside; "
            "a name that fields stand under has no value of its own",
            place,
        )


class NotUnderstoodError(WrittenError):
    """Nothing more precise can be said."""

    id = "yaml.not-understood"

    def __init__(self, place: Place, found: str) -> None:
        near = f'"{shown(found)}"' if found else "the end of the file"
        super().__init__(
            f"Reading stopped before {near}. Write one `name: value` a line and put a "
            "value that holds any of : # [ ] { } , & * ! | > % @ in quotes",
            place,
        )
