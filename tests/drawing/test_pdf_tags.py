"""What a PDF tells of its parts, read by a reader that we did not write."""

import io

import pdfplumber
from written_out import A4

from tapewright.drawing.paper import Sheet
from tapewright.drawing.pdf import pdf_bytes
from tapewright.drawing.shapes import Line, Text

TEXTS = (
    Text(20.0, 20.0, "Heron", 9.0, role="title"),
    Text(20.0, 40.0, "yd", 9.0, role="head"),
    Text(60.0, 40.0, "mm", 9.0, role="head"),
    Line(20.0, 42.0, 90.0, 42.0),
    Text(20.0, 60.0, "33", 9.0, role="first"),
    Text(60.0, 60.0, "41.2", 9.0, role="cell"),
    Text(20.0, 80.0, "One sentence", 9.0, role="words"),
    Text(20.0, 90.0, "on two lines", 9.0, role="on"),
    Text(20.0, 99.0, "small print", 4.0),
)


def tree(*texts):
    with pdfplumber.open(io.BytesIO(pdf_bytes((Sheet(A4, texts, "Heron"),)))) as pdf:
        return pdf.structure_tree, [(one["text"], one["tag"]) for one in pdf.pages[0].chars]


def test_heads_are_a_row_of_their_own_and_a_new_table_follows_a_sentence():
    (document,), _ = tree(*TEXTS, *TEXTS[1:6])
    kinds = [one["type"] for one in document["children"]]
    assert kinds == ["H1", "Table", "P", "Table"]
    rows = document["children"][1]["children"]
    assert [[one["type"] for one in row["children"]] for row in rows] == [["TH"] * 2, ["TH", "TD"]]


def test_what_has_no_role_is_not_read_aloud():
    (document,), letters = tree(*TEXTS)
    assert len(document["children"][2]["mcids"]) == 2
    assert {tag for _, tag in letters[-11:]} == {"Artifact"}


def test_pages_without_roles_stay_as_they_were():
    found, letters = tree(*(Text(20.0, 20.0 + 9 * n, "Heron", 9.0) for n in range(3)))
    assert found == []
    assert {tag for _, tag in letters} == {None}
