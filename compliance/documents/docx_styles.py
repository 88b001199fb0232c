"""The styles, list marks and settings of a word-processor document, as WordprocessingML.

Real styles: whoever edits the document changes a style once. Black on white, as the PDF.
"""

from __future__ import annotations

from compliance.documents.measures import CELL_GAP_POINTS, ROOMY, Page
from compliance.documents.typeface import FAMILY

_W = "http://schemas.openxmlformats.org/wordprocessingml/2006/main"
LABEL_TWIPS = 2160
BULLETS, NUMBERS = 1, 2
"""The list definitions' numbers; each ordered list gets a counter of its own over NUMBERS."""

_BOX = "".join(
    f'<w:{side} w:val="single" w:sz="{size}" w:space="{space}" w:color="000000"/>'
    for side, size, space in (("top", 6, 6), ("left", 28, 8), ("bottom", 6, 6), ("right", 6, 8))
)
_BAND = "<w:pBdr>{}</w:pBdr>".format(
    "".join(
        f'<w:{side} w:val="single" w:sz="4" w:space="4" w:color="000000"/>'
        for side in ("top", "bottom")
    )
)


def styles_xml(language: str, page: Page = ROOMY) -> str:
    """Every style; `language` is that of all text. Sizes in half points, spaces in twips."""
    size, spaces = (18, (80, 220)) if page.is_pocket else (19, (120, 280))
    faces = " ".join(f'w:{kind}="{FAMILY}"' for kind in ("ascii", "hAnsi", "cs", "eastAsia"))
    defaults = (
        f"<w:docDefaults><w:rPrDefault><w:rPr><w:rFonts {faces}/>"
        f'<w:sz w:val="{size}"/><w:szCs w:val="{size}"/><w:lang w:val="{language}"/></w:rPr>'
        f"</w:rPrDefault><w:pPrDefault><w:pPr>{_space(-1, *spaces)}</w:pPr>"
        "</w:pPrDefault></w:docDefaults>"
    )
    normal = (
        '<w:style w:type="paragraph" w:default="1" w:styleId="Normal"><w:name w:val="Normal"/>'
        "<w:qFormat/></w:style>"
    )
    return _root("styles", defaults + normal + "".join(_paragraph_styles(page)) + _table_styles())


def numbering_xml() -> str:
    """The bullet and the number of lists."""
    bullet = _list_definition(BULLETS, "bullet", "•")
    number = _list_definition(NUMBERS, "decimal", "%1.")
    uses = "".join(
        f'<w:num w:numId="{n}"><w:abstractNumId w:val="{n}"/></w:num>' for n in (BULLETS, NUMBERS)
    )
    return _root("numbering", bullet + number + uses)


def settings_xml() -> str:
    """Settings without anything that a maker's programme left behind."""
    return _root(
        "settings",
        '<w:defaultTabStop w:val="720"/><w:compat><w:compatSetting w:name="compatibilityMode" '
        'w:uri="http://schemas.microsoft.com/office/word" w:val="15"/></w:compat>',
    )


def font_table_xml() -> str:
    """What to take where the typeface is not installed: another wide, plain one."""
    return _root(
        "fonts",
        f'<w:font w:name="{FAMILY}"><w:altName w:val="Verdana"/><w:charset w:val="00"/>'
        '<w:family w:val="swiss"/><w:pitch w:val="variable"/></w:font>',
    )


def properties_xml() -> str:
    """What made the file."""
    return (
        '<Properties xmlns="http://schemas.openxmlformats.org/officeDocument/2006/'
        'extended-properties"><Application>installation-evidence</Application></Properties>'
    )


def _root(name: str, inside: str) -> str:
    return f'<w:{name} xmlns:w="{_W}">{inside}</w:{name}>'


def _paragraph_styles(page: Page) -> list[str]:
    return [*_headings(page), *_texts(page), *_furniture(page)]


def _headings(page: Page) -> list[str]:
    keep = "<w:keepNext/><w:keepLines/>"
    first, second, third = ((12, 6), (6, 3), (280, 100, 300))
    one, two, sizes = _space(0, 360, 520), _space(400, 240, 360), (40, 26)
    if page.is_pocket:
        first, second = (12, 4), (6, 2)
        one, two, sizes = _space(0, 200, 380), _space(180, 120, 280), (30, 22)
    return [
        _style("Heading1", "heading 1", keep + _rule(*first) + one, sizes[0], level=0),
        _style("Heading2", "heading 2", keep + _rule(*second) + two, sizes[1], level=1),
        _style("Heading3", "heading 3", keep + _space(*third), 21, level=2),
    ]


def _texts(page: Page) -> list[str]:
    line, after, labels = (220, 20, 1240) if page.is_pocket else (280, 60, LABEL_TWIPS)
    caption = _space(80, 60, line) if page.is_pocket else _space(200, 100)
    cell = round(2 * page.cell_size_points)
    around = (50, 60, 220) if page.is_pocket else (60, 60, 240)
    return [
        _style("ListBullet", "List Bullet", _list(BULLETS) + _space(0, after, line)),
        _style("ListNumber", "List Number", _list(NUMBERS) + _space(0, after, line)),
        _style(
            "LabelledLine",
            "Labelled line",
            f'<w:tabs><w:tab w:val="left" w:pos="{labels}"/></w:tabs>'
            + _space(0, after, line)
            + f'<w:ind w:left="{labels}" w:hanging="{labels}"/>',
        ),
        _style("Notice", "Notice", f"<w:pBdr>{_BOX}</w:pBdr>" + _space(0, 0, line)
               + '<w:ind w:left="220" w:right="180"/>'),
        _style("Caption", "caption", "<w:keepNext/>" + caption, 18, bold=True),
        _style("TableText", "Table text", _space(*around), cell),
        _style("TableHeading", "Table heading", _space(*around), cell, bold=True),
        _style("SigningRole", "Signing role", "<w:keepNext/>" + _space(200, 0), bold=True),
        _style("SigningLine", "Signing line", "<w:keepNext/>" + _space(40, 0, 200),
               18 if page.is_pocket else 16),
    ]  # fmt: skip


def _furniture(page: Page) -> list[str]:
    right = round(20 * page.width_points)
    return [
        _style("Header", "header", _space(0, 0, 240)),
        _style("DraftBand", "Draft band", _BAND + '<w:shd w:val="clear" w:color="auto" '
               'w:fill="000000"/>' + _space(0, 0, 240) + '<w:jc w:val="center"/>', 18,
               bold=True, colour="FFFFFF"),
        _style("Footer", "footer", f'<w:tabs><w:tab w:val="right" w:pos="{right}"/></w:tabs>'
               + _space(0, 0, 200), 14),
        _style("Gap", "Gap after a table", _space(0, 0, 120), 8),
    ]  # fmt: skip


def _style(
    identity: str,
    name: str,
    paragraph: str,
    half_points: int = 0,
    *,
    bold: bool = False,
    level: int | None = None,
    colour: str = "",
) -> str:
    is_heading = level is not None
    outline = f'<w:outlineLvl w:val="{level}"/>' if is_heading else ""
    run = "<w:b/><w:bCs/>" if bold or is_heading else ""
    run += f'<w:color w:val="{colour}"/>' if colour else ""
    run += f'<w:sz w:val="{half_points}"/><w:szCs w:val="{half_points}"/>' if half_points else ""
    following = '<w:next w:val="Normal"/>' if is_heading else ""
    return (
        f'<w:style w:type="paragraph" w:styleId="{identity}"><w:name w:val="{name}"/>'
        f'<w:basedOn w:val="Normal"/>{following}<w:qFormat/>'
        f"<w:pPr>{paragraph}{outline}</w:pPr><w:rPr>{run}</w:rPr></w:style>"
    )


def _space(before: int, after: int, line: int = 280) -> str:
    """Room above and below a paragraph; above, a negative one is not said."""
    above = f'w:before="{before}" ' if before >= 0 else ""
    return f'<w:spacing {above}w:after="{after}" w:line="{line}" w:lineRule="atLeast"/>'


def _rule(eighth_points: int, gap_points: int) -> str:
    return (
        f'<w:pBdr><w:bottom w:val="single" w:sz="{eighth_points}" w:space="{gap_points}" '
        'w:color="000000"/></w:pBdr>'
    )


def _list(number: int) -> str:
    return f'<w:numPr><w:numId w:val="{number}"/></w:numPr>'


def _list_definition(number: int, form: str, mark: str) -> str:
    return (
        f'<w:abstractNum w:abstractNumId="{number}"><w:multiLevelType w:val="singleLevel"/>'
        f'<w:lvl w:ilvl="0"><w:start w:val="1"/><w:numFmt w:val="{form}"/>'
        f'<w:lvlText w:val="{mark}"/><w:lvlJc w:val="left"/><w:pPr>'
        '<w:ind w:left="360" w:hanging="280"/></w:pPr></w:lvl></w:abstractNum>'
    )


def _table_styles() -> str:
    gap = round(CELL_GAP_POINTS * 20)
    line = '<w:{} w:val="single" w:sz="{}" w:space="0" w:color="{}"/>'
    heavy, light = ("8", "000000"), ("4", "999999")
    borders = (
        line.format("top", *heavy) + line.format("bottom", *light) + line.format("insideH", *light)
    )
    return (
        '<w:style w:type="table" w:default="1" w:styleId="TableNormal"><w:name '
        'w:val="Normal Table"/><w:tblPr><w:tblInd w:w="0" w:type="dxa"/><w:tblCellMar>'
        f'<w:left w:w="{gap}" w:type="dxa"/><w:right w:w="{gap}" w:type="dxa"/></w:tblCellMar>'
        '</w:tblPr></w:style><w:style w:type="table" w:styleId="Columns"><w:name '
        'w:val="Two columns"/><w:basedOn w:val="TableNormal"/><w:tblPr><w:tblCellMar>'
        '<w:left w:w="0" w:type="dxa"/><w:right w:w="0" w:type="dxa"/></w:tblCellMar>'
        '</w:tblPr></w:style><w:style w:type="table" w:styleId="RuledTable"><w:name '
        'w:val="Ruled table"/><w:basedOn w:val="TableNormal"/><w:qFormat/><w:tblPr><w:tblBorders>'
        f'{borders}</w:tblBorders></w:tblPr><w:tblStylePr w:type="firstRow"><w:tcPr>'
        f"<w:tcBorders>{line.format('bottom', *heavy)}</w:tcBorders></w:tcPr></w:tblStylePr>"
        "</w:style>"
    )
