"""Workbooks written part by part after ECMA-376 (Office Open XML), as spreadsheet programs write them.

What a library would write is tidier than what people's programs leave in a file: strings shared and in runs, dates as
days with a style, cells and rows left out, values beside formulas, sheets that are hidden.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Sequence

_HEAD = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006"
_KIND = "application/vnd.openxmlformats-officedocument.spreadsheetml"

# Places in the styles below (ECMA-376, part 1, 18.8.30 for the numbered formats).
GENERAL, DATE, DAY_FIRST, PERCENT, TEXT, TWO_PLACES, PERCENT_WORD = range(7)
_STYLES = f"""{_HEAD}<styleSheet xmlns="{_MAIN}">
<numFmts count="2"><numFmt numFmtId="164" formatCode="dd\\.mm\\.yyyy"/>
<numFmt numFmtId="165" formatCode="0.0&quot; %&quot;"/></numFmts>
<fonts count="1"><font><sz val="11"/></font></fonts>
<fills count="1"><fill><patternFill patternType="none"/></fill></fills><borders count="1"><border/></borders>
<cellStyleXfs count="1"><xf/></cellStyleXfs>
<cellXfs count="7"><xf numFmtId="0"/><xf numFmtId="14" applyNumberFormat="1"/>
<xf numFmtId="164" applyNumberFormat="1"/><xf numFmtId="10" applyNumberFormat="1"/>
<xf numFmtId="49" applyNumberFormat="1" quotePrefix="1"/><xf numFmtId="2" applyNumberFormat="1"/>
<xf numFmtId="165" applyNumberFormat="1"/></cellXfs>
<cellStyles count="1"><cellStyle name="Normal" xfId="0" builtinId="0"/></cellStyles></styleSheet>"""


def workbook(
    *sheets: tuple[str, str], shared: Sequence[str] = (), from_1904: bool = False, hidden: Sequence[str] = ()
) -> bytes:
    """Give a workbook.

    Args:
        sheets: name and the rows of each, as XML; what follows the rows may stand behind them.
        shared: what stands between the tags of each shared string.
        from_1904: days are counted from 1904, as old programs of another make had it.
        hidden: names of sheets that nobody sees.
    """
    unseen = dict.fromkeys(hidden, ' state="hidden"')
    epoch = ' date1904="1"' if from_1904 else ""
    listed = "".join(
        f'<sheet name="{name}" sheetId="{number}"{unseen.get(name, "")} r:id="rId{number}"/>'
        for number, (name, _rows) in enumerate(sheets, 1)
    )
    leads = "".join(
        f'<Relationship Id="rId{number}" Type="{_OFFICE}/worksheet" Target="worksheets/sheet{number}.xml"/>'
        for number in range(1, len(sheets) + 1)
    )
    kinds = "".join(
        f'<Override PartName="/xl/worksheets/sheet{number}.xml" ContentType="{_KIND}.worksheet+xml"/>'
        for number in range(1, len(sheets) + 1)
    )
    strings = "".join(f"<si>{text}</si>" for text in shared)
    parts = {
        "[Content_Types].xml": f'<Types xmlns="{_PACKAGE}/content-types"><Default Extension="rels" '
        'ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
        f'<Override PartName="/xl/workbook.xml" ContentType="{_KIND}.sheet.main+xml"/>{kinds}'
        f'<Override PartName="/xl/styles.xml" ContentType="{_KIND}.styles+xml"/>'
        f'<Override PartName="/xl/sharedStrings.xml" ContentType="{_KIND}.sharedStrings+xml"/></Types>',
        "_rels/.rels": f'<Relationships xmlns="{_PACKAGE}/relationships"><Relationship Id="rId1" '
        f'Type="{_OFFICE}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        "xl/workbook.xml": f'<workbook xmlns="{_MAIN}" xmlns:r="{_OFFICE}">'
        f"<workbookPr{epoch}/><sheets>{listed}</sheets></workbook>",
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{_PACKAGE}/relationships">{leads}'
        f'<Relationship Id="rId90" Type="{_OFFICE}/styles" Target="styles.xml"/>'
        f'<Relationship Id="rId91" Type="{_OFFICE}/sharedStrings" Target="sharedStrings.xml"/></Relationships>',
        "xl/sharedStrings.xml": f'<sst xmlns="{_MAIN}">{strings}</sst>',
    }
    for number, (_name, rows) in enumerate(sheets, 1):
        rows, _mark, behind = rows.partition("|")
        parts[f"xl/worksheets/sheet{number}.xml"] = (
            f'<worksheet xmlns="{_MAIN}"><dimension ref="A1:XFD1048576"/><sheetData>{rows}</sheetData>{behind}'
            "</worksheet>"
        )
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in parts.items():
            archive.writestr(name, _HEAD + text)
        archive.writestr("xl/styles.xml", _STYLES)
    return out.getvalue()


def row(number: int, *cells: str) -> str:
    """Give a row; ``{r}`` in a cell stands for the row's number."""
    placed = "".join(cells).replace("{r}", str(number))
    return f'<row r="{number}">{placed}</row>'


def typed(column: str, text: str) -> str:
    """A text that stands in the cell itself."""
    return f'<c r="{column}{{r}}" t="inlineStr"><is><t xml:space="preserve">{text}</t></is></c>'


def shared(column: str, index: int) -> str:
    """A text that stands among the shared strings."""
    return f'<c r="{column}{{r}}" t="s"><v>{index}</v></c>'


def number(column: str, value: object, style: int = GENERAL) -> str:
    return f'<c r="{column}{{r}}" s="{style}"><v>{value}</v></c>'


def worked_out(column: str, formula: str, value: object = "", kind: str = "n") -> str:
    """A formula with the value it last came to, if it was ever worked out."""
    last = f"<v>{value}</v>" if value != "" else ""
    return f'<c r="{column}{{r}}" t="{kind}"><f>{formula}</f>{last}</c>'


def headings(*words: str) -> str:
    return row(1, *(typed(chr(ord("A") + place), word) for place, word in enumerate(words)))
