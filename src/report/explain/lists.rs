//! The page on picture lists.

use super::topic::Topic;

/// How a designer's list is read.
pub static PICTURE_LIST: Topic = Topic {
    names: &["picture list", "list", "spreadsheet", "xlsx", "ods", "csv"],
    about: "The designer's list of pages, used as it was sent: prints = \"pages.xlsx\" in the brief names it. It may \
            be XLSX, ODS or CSV. It has one print a row, below a row of headings. plateside brief new --from \
            pages.xlsx writes a brief for it. A mistake is named with its sheet and cell, or its line.",
    summary: Some("how the designer's list is read: headings, sizes, spreads, sheets"),
    entries: &[
        (
            "headings",
            "In any order and case: page (pages, plate, no), name (title, dish, recipe), picture (file, file name, \
             image, photo), size (dimensions, trim size, format) or width and height, copies (qty), paper, caption, \
             credit, batch. picture and size are needed. A title and blank lines may stand above them.",
        ),
        (
            "other columns",
            "Are passed over and named once, with the brief. Of two columns for one thing the plainer name \
             counts: page before no.",
        ),
        (
            "size column",
            "210 x 260 mm, A4, 8 x 10 in, or a name from [sizes]. The unit may stand in the heading instead: size \
             (mm), width (cm). size (h x w) says that the height comes first. A decimal comma is read as a point.",
        ),
        (
            "paper column",
            "The name of a paper that the brief describes, such as body for [papers.body], in any case. Where the \
             brief names no papers the column is passed over.",
        ),
        (
            "spreads",
            "12-13 in the page column is one picture across both pages, with the size of both. Two halves are two \
             names in the picture column with \" + \", a semicolon or a line break between them: p012-left* + \
             p013-right*. They become two prints, each half as wide, and \
             one group: whether they meet at the spine is checked.",
        ),
        (
            "merged cells",
            "Count for every row that they cover. A row that is one cell across several columns is a heading between \
             rows, and no print. Hidden rows count, and are named.",
        ),
        (
            "formulas",
            "Are not calculated, and macros are not run: the stored value counts. A formula without one is a mistake: \
             open the workbook in a spreadsheet program and save it.",
        ),
        ("dates", "Spreadsheets make a date of 12-13. Format the column as text before you type pages."),
        ("sheets", "The one sheet with the headings counts. Where several have them, prints_sheet names the one."),
        (
            "limits of a list",
            "20,000 rows, 256 columns, a file of 32 MB; and 160 MB once a workbook is unpacked, as far as it is read.",
        ),
    ],
    see: &["prints", "prints_sheet", "print.page", "print.picture", "print.size"],
};
