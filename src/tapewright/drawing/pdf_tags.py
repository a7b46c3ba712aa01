"""PDF tags: what each text of a page is, for who hears it read.

Holds:  the structure tree of a PDF from the roles of its texts; its language.
Never:  where anything stands, a point.
Source: ISO 32000-1 §14.6 (marked content), §14.7 (logical structure), §14.8.2.2 (artifacts),
        §14.8.4 (standard structure types), §14.9.2 (language).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from reportlab.pdfbase.pdfdoc import PDFArray, PDFDictionary, PDFName, PDFString

from tapewright.drawing.shapes import Role, Shape, Text

LANGUAGE = "en"
KINDS: dict[Role, str] = {
    "title": "H1", "head": "TH", "first": "TH", "cell": "TD", "words": "P",
}  # fmt: skip
SCOPES: dict[Role, str] = {"head": "Column", "first": "Row"}


@dataclass(slots=True)
class _Element:
    """One element of the tree: its kind, and its kids or the marked parts that it is made of."""

    kind: str
    scope: str = ""
    kids: list[_Element] = field(default_factory=list)
    parts: list[tuple[int, int]] = field(default_factory=list)  # page, number on it

    def new(self, kind: str, scope: str = "") -> _Element:
        """A new last kid."""
        self.kids.append(_Element(kind, scope))
        return self.kids[-1]


class Tags:
    """Marks what is drawn on a canvas, and hangs it into one tree in the order it was drawn."""

    def __init__(self, canvas: Any) -> None:  # noqa: ANN401 - reportlab has no types
        self._canvas = canvas
        self._top = _Element("Document")
        self._marked: list[list[_Element]] = [[]]  # of each page, whose each marked part is
        self._role: Role = ""  # of the text before

    def begin(self, shape: Shape) -> None:
        """Say what comes: a text with a role, or what is not read."""
        if not isinstance(shape, Text) or not shape.role:
            self._canvas.addLiteral("/Artifact BMC")
            return
        here = self._marked[-1]
        if shape.role == "on":
            element = self._top.kids[-1]
        else:
            element = self._begun(shape.role)
            self._role = shape.role
        element.parts.append((len(self._marked) - 1, len(here)))
        self._canvas.addLiteral(f"/{element.kind} <</MCID {len(here)}>> BDC")
        here.append(element)

    def end(self) -> None:
        """What was begun is drawn."""
        self._canvas.addLiteral("EMC")

    def turn_page(self) -> None:
        """A page is full."""
        self._marked.append([])

    def write(self) -> None:
        """Hang the tree into the document."""
        document = self._canvas._doc  # noqa: SLF001 - reportlab offers no tags itself
        root = PDFDictionary({"Type": PDFName("StructTreeRoot")})
        hung: dict[int, Any] = {}
        root["K"] = PDFArray([self._hang(self._top, document.Reference(root), hung)])
        numbers: list[Any] = []
        for number, marked in enumerate(self._marked[:-1]):
            page = document.Pages[number]
            page.__NoDefault__ = (*page.__NoDefault__, "StructParents", "Tabs")
            page.StructParents, page.Tabs = number, PDFName("S")  # in the order of the tree
            numbers += [number, PDFArray([hung[id(one)] for one in marked])]
        root["ParentTree"] = PDFDictionary({"Nums": PDFArray(numbers)})
        root["ParentTreeNextKey"] = len(self._marked) - 1
        catalog = document.Catalog
        catalog.StructTreeRoot, catalog.Lang = root, PDFString(LANGUAGE)
        document.ensureMinPdfVersion("transparency")  # 1.4, the first with tags; has no other name
        catalog.MarkInfo = PDFDictionary({"Marked": "true"})
        self._canvas.setViewerPreference("DisplayDocTitle", "true")

    def _begun(self, role: Role) -> _Element:
        """A new element of a text, in its row and table."""
        if role in ("title", "words"):
            return self._top.new(KINDS[role])
        if not self._top.kids or self._top.kids[-1].kind != "Table":
            self._top.new("Table")
        table = self._top.kids[-1]
        if role == "first" or self._role != role == "head":
            table.new("TR")
        return table.kids[-1].new(KINDS[role], SCOPES.get(role, ""))

    def _hang(self, element: _Element, parent: Any, hung: dict[int, Any]) -> Any:  # noqa: ANN401 - as above
        """An element with all below it; what it is known by."""
        document = self._canvas._doc  # noqa: SLF001 - as above
        written = PDFDictionary({"Type": PDFName("StructElem"), "S": PDFName(element.kind)})
        written["P"] = parent
        if element.scope:
            scope = {"O": PDFName("Table"), "Scope": PDFName(element.scope)}
            written["A"] = PDFDictionary(scope)
        known = hung[id(element)] = document.Reference(written)
        kids = [self._hang(one, known, hung) for one in element.kids]
        for page, number in element.parts:
            part = {"Type": PDFName("MCR"), "MCID": number}
            part["Pg"] = document.Reference(document.Pages[page])
            kids.append(PDFDictionary(part))
        written["K"] = PDFArray(kids)
        return known
