"""Picture lists as designers send them, written by spreadsheet libraries of another language (openpyxl, XlsxWriter, odfpy, ezodf,
Python's csv): what each says is said here, from its maker's side, and read back through a check of pictures by Pillow.
"""

import csv
import datetime
import io
import json
import shutil
import zipfile

import ezodf
import openpyxl
import pytest
import xlsxwriter
from odf.opendocument import OpenDocumentSpreadsheet
from odf.table import CoveredTableCell, Table, TableCell, TableRow
from odf.text import P
from PIL import Image

from programs import ended, run

# Sides of a picture in pixels for each millimetre: enough for any rule of density.
PX_PER_MM = 12
# Seconds and mebibytes that a list that is made to cost may take, in a build without optimisation. Ours.
LONGEST_S, MOST_MB = 20, 400
# What the lists name, in their order: page, last page, name, picture, width and height in mm, copies.
TART = (12, None, "plum tart", "p012-plum-tart.jpg", 30, 40, 1)
LEEKS = (14, None, "brown butter leeks", "p014-leeks.jpg", 30, 40, 2)
BOARD = (16, 17, "oyster board", "p016-oyster-board.jpg", 60, 40, 1)
BROTH = (18, None, "barley broth", "p018-broth.jpg", 20.5, 30.5, 3)
LEFT = (16, None, "oyster board, left", "p016-left.jpg", 30, 40, 1)
RIGHT = (17, None, "oyster board, right", "p017-right.jpg", 30, 40, 1)


def plain_workbook(path):
    """openpyxl: a table of numbers and words, as a list is usually sent."""
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.append(["Page", "Dish", "File", "Size", "Copies"])
    sheet.append([12, "plum tart", "p012-plum-tart.jpg", "30 x 40 mm", 1])
    sheet.append([14, "brown butter leeks", "p014-leeks.jpg", "30x40mm", 2])
    sheet.append(["16-17", "oyster board", "p016-oyster-board.jpg", "60 × 40 mm", None])
    book.save(path)
    return [TART, LEEKS, BOARD]


def titled_workbook(path):
    """openpyxl: a title over merged cells, blank rows, bands between rows, columns in another order and case, some unknown."""
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Plates"
    sheet["B2"] = "Low Water Suppers: pages, second pass"
    sheet.merge_cells("B2:G2")
    sheet["B3"] = datetime.date(2026, 11, 30)
    for column, heading in enumerate(["STATUS", "FILENAME", "qty", "Trim size (mm)", "TITLE", "PAGES"]):
        sheet.cell(5, 2 + column, heading)
    sheet["B7"] = "Vegetables"
    sheet.merge_cells("B7:G7")
    for row, cells in ((8, ["ok", "p014-leeks.jpg", "2", "30 x 40", "brown butter leeks", "14"]),
                       (10, [None, "p012-plum-tart.jpg", 1, "30 x 40", "plum\u00a0tart\u00a0", "p. 12"])):
        for column, content in enumerate(cells):
            sheet.cell(row, 2 + column, content)
    book.create_sheet("Budget").append(["Paper", 3])
    book.save(path)
    return [LEEKS, TART]


def sided_workbook(path):
    """XlsxWriter: width and height in centimetres below one heading of two rows, strings shared, formulas with their values."""
    book = xlsxwriter.Workbook(str(path))
    sheet = book.add_worksheet("Pages")
    heading = book.add_format({"bold": True})
    for column, text in ((0, "Page"), (1, "Recipe"), (4, "Image"), (5, "Qty")):
        sheet.merge_range(0, column, 1, column, text, heading)
    sheet.merge_range(0, 2, 0, 3, "Size in cm", heading)
    sheet.write_row(1, 2, ["Width", "Height"], heading)
    sheet.write_row(2, 0, [12, "plum tart", 3, 4, "p012-plum-tart.jpg"])
    sheet.write_formula(2, 5, "=1*1", None, 1)
    sheet.write_row(3, 0, [18, "barley broth", 2.05, "3,05"])
    sheet.write_formula(3, 4, '="p018-"&"broth.jpg"', None, "p018-broth.jpg")
    sheet.write(3, 5, 3)
    book.close()
    return [TART, BROTH]


def merged_workbook(path):
    """XlsxWriter: a size merged over several rows, numbers with a unit and with zeros before them in their formats, hidden columns."""
    book = xlsxwriter.Workbook(str(path))
    sheet = book.add_worksheet()
    sheet.write_row(0, 0, ["No", "Photo", "W", "H", "Copies", "Notes"])
    millimetres, plate = book.add_format({"num_format": '0.0" mm"'}), book.add_format({"num_format": "000"})
    sheet.set_column(4, 4, None, None, {"hidden": True})
    sheet.write(1, 0, 12, plate)
    sheet.write(1, 1, "p012-plum-tart.jpg")
    sheet.merge_range(1, 2, 2, 2, 30, millimetres)
    sheet.merge_range(1, 3, 2, 3, 40, millimetres)
    sheet.write(2, 0, 14, plate)
    sheet.write(2, 1, "p014-leeks.jpg")
    sheet.write_row(2, 4, [2, "again on the cover"])
    book.close()
    return [(12, None, "p012-plum-tart.jpg", "p012-plum-tart.jpg", 30, 40, 1), (14, None, "p014-leeks.jpg", "p014-leeks.jpg", 30, 40, 2)]


def halved_workbook(path):
    """openpyxl: a spread of two halves, each a file, with Alt-Enter between their names; rich text; a sheet that is hidden."""
    from openpyxl.cell.rich_text import CellRichText, TextBlock
    from openpyxl.cell.text import InlineFont

    book = openpyxl.Workbook()
    old = book.active
    old.title, old.sheet_state = "old", "hidden"
    old.append(["page", "file", "size"])
    old.append([1, "gone.jpg", "A4"])
    sheet = book.create_sheet("Seiten ä & <b>")
    sheet.append(["page", "name", "picture", "size (h x w), mm"])
    sheet.append(["16–17", CellRichText("oyster ", TextBlock(InlineFont(b=True), "board")), "p016-left.jpg\np017-right.jpg", "40 x 60"])
    book.active = 1
    book.save(path)
    return [LEFT, RIGHT]


def cell(content=None, **attributes):
    made = TableCell(**attributes)
    if content is not None:
        made.addElement(P(text=str(content)))
    return made


def odf_sheet(path):
    """odfpy: rows and cells that repeat, merged cells, a note, a row that is filtered out of sight."""
    book = OpenDocumentSpreadsheet()
    table = Table(name="Plates")
    table.addElement(TableRow(numberrowsrepeated=3))
    rows = [
        [cell("Page"), cell("Dish"), cell("Picture"), cell("Size"), cell("Copies"), cell("")],
        [cell(12, valuetype="float", value="12"), cell("plum tart"), cell("p012-plum-tart.jpg"),
         cell("30 x 40 mm", numberrowsspanned=2, numbercolumnsspanned=1), cell(1, valuetype="float", value="1")],
        [cell(14, valuetype="float", value="14"), cell("brown butter leeks"), cell("p014-leeks.jpg"), CoveredTableCell(),
         cell("2,0", valuetype="float", value="2")],
    ]
    for cells in rows:
        row = TableRow()
        for one in cells:
            if one.qname[1] == "table-cell" and one.firstChild is not None and one.getAttribute("valuetype") is None:
                one.setAttribute("valuetype", "string")
            row.addElement(one)
        row.addElement(TableCell(numbercolumnsrepeated=1000))
        table.addElement(row)
    empty = TableRow(numberrowsrepeated=1_000_000)
    empty.addElement(TableCell(numbercolumnsrepeated=1024))
    table.addElement(empty)
    book.spreadsheet.addElement(table)
    book.save(str(path))
    return [TART, LEEKS]


def ezodf_sheet(path):
    """ezodf: two sheets, the list being the second; lengths with their units, decimal commas."""
    book = ezodf.newdoc(doctype="ods", filename=str(path))
    book.sheets += ezodf.Sheet("Contacts", size=(2, 2))
    book.sheets[0][0, 0].set_value("Designer")
    sheet = ezodf.Sheet("List of plates", size=(10, 8))
    book.sheets += sheet
    for row, cells in ((2, ["Plate", "Title", "File name", "Finished width", "Finished height", "No. of copies", "Caption"]),
                       (4, [18, "barley broth", "p018-broth.jpg", "20,5 mm", "3,05 cm", 3, "Hot & thick"])):
        for column, content in enumerate(cells):
            sheet[row, column].set_value(content)
    book.save()
    return [BROTH]


def written_csv(path, encoding, **options):
    with path.open("w", newline="", encoding=encoding) as file:
        writer = csv.writer(file, **options)
        writer.writerow(["Low Water Suppers, pages; second pass"])
        writer.writerow([])
        writer.writerow(["page", "title", "file", "width (cm)", "height (cm)", "copies", "designer's note"])
        writer.writerow(["12", "plum tart", "p012-plum-tart.jpg", "3", "4", "", "see mail, of 30 Nov; \"cut\""])
        writer.writerow(["18", "barley broth", "p018-broth.jpg", "2,05", "3,05", "3", ""])
    return [TART, BROTH]


def semicolon_csv(path):
    """csv: semicolons and decimal commas, a byte order mark, a title with both separators in it."""
    return written_csv(path, "utf-8-sig", delimiter=";")


def wide_csv(path):
    """csv: tabs, in UTF-16 with its mark, as a spreadsheet's Unicode text is."""
    return written_csv(path, "utf-16", delimiter="\t")


def quoted_csv(path):
    """csv: commas, every cell in quotation marks, old line ends."""
    return written_csv(path, "utf-8", delimiter=",", quoting=csv.QUOTE_ALL, lineterminator="\r\n")


LISTS = [
    (plain_workbook, "xlsx"), (titled_workbook, "xlsx"), (sided_workbook, "xlsx"), (merged_workbook, "xlsx"), (halved_workbook, "xlsx"),
    (odf_sheet, "ods"), (ezodf_sheet, "ods"), (semicolon_csv, "csv"), (wide_csv, "csv"), (quoted_csv, "csv"),
]


@pytest.mark.parametrize(("make", "extension"), LISTS, ids=[make.__name__ for make, _ in LISTS])
def test_lists_of_other_shapes(program, tmp_path, make, extension):
    path = tmp_path / f"pages.{extension}"
    prints = make(path)
    (tmp_path / "brief.toml").write_text(f'prints = "{path.name}"\n', encoding="utf-8")
    exports = tmp_path / "exports"
    exports.mkdir()
    for _, _, _, picture, width, height, _ in prints:
        Image.new("RGB", (round(width * PX_PER_MM), round(height * PX_PER_MM)), (140, 96, 60)).save(exports / picture)
    checked = json.loads(run(program, "check", tmp_path / "brief.toml", exports, "--format", "json", status=(0, 1)))
    found = []
    for row in checked["rows"]:
        on = row["geometry"]
        found.append((on["page"], on.get("last_page"), row["print"], row["picture"], *on["size_mm"], on["copies"]))
    assert found == prints


# Lists that are wrong in one place: what makes them, the place and the words that must be said.
def with_formula(path):
    book = openpyxl.Workbook()
    book.active.append(["File", "Size"])
    book.active.append(['="p012"&"*"', "A4"])
    book.save(path)


def with_zeros_for_values(path):
    book = xlsxwriter.Workbook(str(path))
    sheet = book.add_worksheet("Sheet")
    sheet.write_row(0, 0, ["Size", "File"])
    sheet.write(1, 0, "A4")
    sheet.write_formula(1, 1, '="p012"&"*"')
    book.close()


def with_a_day(path):
    book = openpyxl.Workbook()
    book.active.append(["File", "Page", "Size"])
    book.active.append(["p012*", datetime.date(2026, 12, 13), "A4"])
    book.active["B2"].number_format = "d-mmm"
    book.save(path)


def with_an_error(path):
    book = openpyxl.Workbook()
    book.active.append(["File", "Page", "Size"])
    book.active.append(["p012*", 12, "#REF!"])
    book.save(path)


def without_a_unit(path):
    book = ezodf.newdoc(doctype="ods", filename=str(path))
    sheet = ezodf.Sheet("Sheet", size=(5, 5))
    book.sheets += sheet
    for row, cells in ((0, ["File", "Width", "Height"]), (1, ["p012*", 210, "260 mm"])):
        for column, content in enumerate(cells):
            sheet[row, column].set_value(content)
    book.save()


WRONG = [
    (with_formula, "xlsx", "A2", "a formula without its value"),
    (with_zeros_for_values, "xlsx", "B2", "a formula without its value"),
    (with_a_day, "xlsx", "B2", '"2026-12-13" is a date, not a page'),
    (with_an_error, "xlsx", "C2", "the cell holds the error #REF!"),
    (without_a_unit, "ods", "B2", "210 has no unit"),
]


@pytest.mark.parametrize(("make", "extension", "cell", "words"), WRONG, ids=[wrong[0].__name__ for wrong in WRONG])
def test_what_is_wrong_is_named_by_its_cell(program, tmp_path, make, extension, cell, words):
    path = tmp_path / f"pages.{extension}"
    make(path)
    (tmp_path / "brief.toml").write_text(f'prints = "{path.name}"\n', encoding="utf-8")
    done = ended(program, "brief", "show", tmp_path / "brief.toml", text=True)
    said = " ".join(done.stderr.split())
    assert done.returncode == 2, said
    assert f"pages.{extension}, sheet Sheet, cell {cell}: " in said and words in said, said


def packed(parts):
    room = io.BytesIO()
    with zipfile.ZipFile(room, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as archive:
        for name, content in parts:
            archive.writestr(name, content)
    return room.getvalue()


def in_workbook(part, content, tmp_path):
    """A workbook by XlsxWriter in which one part is another."""
    plain = tmp_path / "plain.xlsx"
    sided_workbook(plain)
    with zipfile.ZipFile(plain) as archive:
        parts = [(name, archive.read(name)) for name in archive.namelist() if name != part]
    return packed([*parts, (part, content)])


def a_million_rows(tmp_path):
    path = tmp_path / "million.xlsx"
    book = xlsxwriter.Workbook(str(path), {"constant_memory": True})
    sheet = book.add_worksheet()
    sheet.write_row(0, 0, ["file", "size"])
    for row in range(1, 1_048_576):
        sheet.write_row(row, 0, [row, row])
    book.close()
    return path.read_bytes()


BOMBS = {
    "a million rows": (a_million_rows, "more than 20000 rows"),
    "a million rows of text": (lambda _: b"file,size\n" + b"a*,A4\n" * 1_000_000, "more than 20000 rows"),
    "one string without an end": (
        lambda place: in_workbook("xl/sharedStrings.xml", b"<sst><si><t>" + b"x" * 300_000_000, place), "unpacks to more than"),
    "strings by the million": (
        lambda place: in_workbook("xl/sharedStrings.xml", b"<sst uniqueCount='99999999999'>" + b"<si/>" * 60_000_000, place),
        "unpacks to more than"),
    "elements within each other": (lambda place: in_workbook("xl/worksheets/sheet1.xml", b"<a>" * 50_000_000, place), "not a sound workbook"),
    "parts by the hundred thousand": (lambda _: packed([(f"xl/{at}", b"") for at in range(200_000)]), "200000 parts"),
    "an ODS sheet that repeats": (
        lambda _: packed([("mimetype", b"application/vnd.oasis.opendocument.spreadsheet"), ("content.xml", (
            b'<office:document-content><table:table table:name="a">' + b'<table:table-row table:number-rows-repeated="1048576">'
            b'<table:table-cell office:value-type="string" table:number-columns-repeated="200"><text:p>x</text:p></table:table-cell>'
            b"</table:table-row></table:table></office:document-content>"))]),
        "more than 20000 rows|more text than"),
}


@pytest.mark.parametrize("name", BOMBS)
def test_lists_that_are_made_to_cost(program, tmp_path, remark, name):
    make, words = BOMBS[name]
    (tmp_path / "pages.list").write_bytes(make(tmp_path))
    (tmp_path / "brief.toml").write_text('prints = "pages.list"\n', encoding="utf-8")
    measured = ["/usr/bin/time", "-f", "%U %S %M"] if shutil.which("time") else []
    done = ended(*measured, program, "brief", "show", tmp_path / "brief.toml", text=True, within_s=LONGEST_S * 6)
    said = " ".join(done.stderr.split())
    assert done.returncode == 2, said[-600:]
    assert any(one in said for one in words.split("|")), said[-600:]
    if measured:
        user, system, kilobytes = done.stderr.split()[-3:]
        seconds, megabytes = float(user) + float(system), int(kilobytes) >> 10
        remark(f"lists: {name}: {seconds:.1f} s, {megabytes} MB")
        assert seconds <= LONGEST_S and megabytes <= MOST_MB
