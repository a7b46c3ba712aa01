"""Camera marks: squares by which a camera finds a sheet, one number for each.

    ┌───────────┐   Eight cells square: a black rim, inside it six times six cells that are black
    │ ■ ■■■■■■  │   or white.  The family is tag36h11: any two of its patterns differ in at least
    │ ■   ■■  ■ │   11 cells however they are turned, so that a dirty or torn mark is rather not
    │ ■ ■   ■ ■ │   read than taken for another.
    │ ■■■■■■■■■ │
    └───────────┘   Around it one cell stays white.

Holds:  CameraMark record; the patterns; which numbers stand on which sheet, and where.
Never:  cameras, pictures.
Source: docs/sources.md [OLSON2011] for the family; patterns as in the second edition of its tables,
        from the reference library of the same authors.
"""

from dataclasses import dataclass

from tapewright.drawing.clipping import Area
from tapewright.drawing.paper import A4, LETTER, Paper
from tapewright.drawing.shapes import BLACK, WHITE, Box
from tapewright.drawing.tiles import CLEAR_MM, MOST_SHEETS, Tile, clear_corners

CELLS = 8
CELL_MM = CLEAR_MM / (CELLS + 2)
MARK_MM = CELLS * CELL_MM
CORNERS = 4  # upper left, upper right, lower left, lower right
RIM_OF_PAPER_MM = 10.0  # from the paper's edge to a clear corner
SINGLE_SHEETS = tuple((paper.name, unit) for paper in (A4, LETTER) for unit in ("in", "cm"))
FIRST_OF_TILES = CORNERS * len(SINGLE_SHEETS)
NUMBERS = FIRST_OF_TILES + CORNERS * MOST_SHEETS


@dataclass(frozen=True, slots=True)
class CameraMark:
    """One mark on a sheet.

    Parameters
    ----------
    number : int
        Which pattern. [-]
    x_mm, y_mm : float
        Its middle; from the aim, or where the sheet's shapes begin. [mm]
    """

    number: int
    x_mm: float
    y_mm: float


def sheet_marks(paper: Paper, unit: str) -> tuple[CameraMark, ...]:
    """Marks of a target on one sheet, from the aim in the middle of the paper.

    They stand at the same true places whatever the printer's error, so that their numbers alone
    tell a camera all lengths.

    Parameters
    ----------
    paper : Paper
        What it is printed on.
    unit : str
        ``"in"`` or ``"cm"``.

    Returns
    -------
    four CameraMark
        Upper left, upper right, lower left, lower right.
    """
    half_mm = paper.width_mm / 2.0 - RIM_OF_PAPER_MM, paper.height_mm / 2.0 - RIM_OF_PAPER_MM
    first = CORNERS * SINGLE_SHEETS.index((paper.name, unit))
    return _in_corners(Area(-half_mm[0], -half_mm[1], *half_mm), first)


def tile_marks(index: int, tile: Tile) -> tuple[CameraMark, ...]:
    """Marks of one tile, from the aim.

    Parameters
    ----------
    index : int
        Which tile, row by row from 0. [-]
    tile : Tile
        Its face.

    Returns
    -------
    four CameraMark
        Upper left, upper right, lower left, lower right.
    """
    return _in_corners(tile.face, FIRST_OF_TILES + CORNERS * index)


def camera_mark_shapes(mark: CameraMark) -> tuple[Box, ...]:
    """A black square with its white cells laid on it.

    Parameters
    ----------
    mark : CameraMark
        Which pattern, and where.

    Returns
    -------
    tuple of Box
        Filled boxes; neighbouring white cells are one box where they make a rectangle.
    """
    left_mm, top_mm = mark.x_mm - MARK_MM / 2.0, mark.y_mm - MARK_MM / 2.0
    shapes = [Box(left_mm, top_mm, MARK_MM, MARK_MM, 0.0, BLACK)]
    for row, column, high, wide in _white_rectangles(white_cells(mark.number)):
        places = left_mm + (column + 1) * CELL_MM, top_mm + (row + 1) * CELL_MM
        shapes.append(Box(*places, wide * CELL_MM, high * CELL_MM, 0.0, WHITE))
    return tuple(shapes)


def white_cells(number: int) -> frozenset[tuple[int, int]]:
    """White cells of a pattern, without its rim.

    Parameters
    ----------
    number : int
        Which pattern, 0 to 495. [-]

    Returns
    -------
    set of (int, int)
        Row and column, 0 to 5 from the upper left.
    """
    inner = CELLS - 2
    bits = int(PATTERNS[number], 16)
    return frozenset(
        divmod(place, inner)
        for place in range(inner * inner)
        if bits >> (inner * inner - 1 - place) & 1
    )


def _in_corners(face: Area, first: int) -> tuple[CameraMark, ...]:
    return tuple(
        CameraMark(first + place, *corner.middle_mm)
        for place, corner in enumerate(clear_corners(face))
    )


def _white_rectangles(cells: frozenset[tuple[int, int]]) -> list[tuple[int, int, int, int]]:
    """Row, column, height and width of rectangles that cover all cells, each once."""
    left, found = set(cells), []
    while left:
        row, column = min(left)
        wide = 1
        while (row, column + wide) in left:
            wide += 1
        high = 1
        while all((row + high, column + step) in left for step in range(wide)):
            high += 1
        found.append((row, column, high, wide))
        left -= {(row + down, column + step) for down in range(high) for step in range(wide)}
    return found


# Six times six cells row by row from the upper left, 1 for white, as 36 bits in hexadecimal; the
# place in the table is the number.
PATTERNS = tuple(
    """
    21a146bab 92d18fe9b 7089014bb 193979e27 44153d3d7 35cd5b8cf a10ba56a0 2b874a608 b57fb8d44
    4e20b5a64 61d897f2c ab3469ffc 594ca45c2 fa1c2d2e2 97c24b972 75928624a 1caafe99a 3236ddc16
    884e527d6 5771a8c7e f52925b81 2e59cc1a1 7fa58ab31 eb43384f9 3913d5345 d79b1a3b5 0dfbe768d
    5cd7a031d b9c8f7a4b 46987e06b 6e0c5d527 5bc567bb4 1e6302bc2 8ac7d046a a65fe2326 5400eb616
    f7a066836 2dd0afdf6 3b9cb60b1 ad6a1caf9 93b62efb5 bb210d93d dee55094b a0cd1479b 2a23abb27
    4f67f4b5f 58a815818 743427d64 1dec40874 892ab3a02 38d5742ee 0c43567a1 5db311cb1 c957ca1f9
    a22457823 29ace98f3 ccc52c528 da8b3578c d5b4b9e36 ac9cdd3ce cbdaa8391 1986256b1 bae6cc889
    df91b10e5 a1a9d5a75 2b651aa9d 4d5c2e19d 5b163736b f753d60a8 5e84b37d2 fce43a9f2 bb926d1a6
    ed8d236e5 6af846f37 ea56a5138 5d497146c 470360eca 8c4bcd67a 295f3901e f6b577e97 520602f5a
    b5119492e 48e299ab7 b79f5737a a814c683e 2da900583 d4aba4797 982a0e65c f480ccc15 0b20ea732
    a9506710a 0486e2ee1 b0a972615 e73f3a257 17e205b98 ec9ab2b24 d9339e076 eb8874f99 9420a55cc
    e364ff992 8a4cb8f0a f72aee766 73cc6b569 c99ca6a59 366a0c535 509e51943 ba6d227d1 d2acf163b
    d989fef68 641707bb2 f9bd312ab 77739c207 68bf8d1bf dedd84a6e 42eaec49b 302b68d53 4ebb930ce
    439c5d9b5 e1fc9228d f8a6a8d4a b53902a18 b163475ee ad2f5af29 aab5dc850 b3ec25786 4799c4405
    8bc68dc04 702f15dde b42293da9 1acad0382 813363971 0e692ad70 8ad05c5b9 85e654c1b 3d0ac2b3b
    4bbfa0552 722dde306 369d1acd2 a2d994e60 5fad9139d 57535ae96 5f5ef1d46 ebc3e6acc 0a99c835d
    5463e49a5 25676893a abed37064 59bdded94 64fa04c09 250e44e75 e58a374bc 24caa5741 e42cf6588
    6ea238538 f75813025 0ceb33bbd 786ae8670 f0de8c969 26c81efe6 69f489086 3fbf92a4d d6555a760
    9ccae236d b256c16a3 d78ac7221 2dc1fe262 af2051090 932c08afe 53feca775 5d292497a 2f101a22b
    c6ad16b14 d2eca4b20 a6fa603d4 3057c3b69 e817b54d2 40abfc3e0 f53ad16e7 36f3a06e8 27782e418
    3e9062146 01fd7ad4e c8765bc64 ad3d8215f 96317a27e 05f813ca6 0e7adc22e bf52c4a50 724f6ae2e
    540fd7ea8 9c962f741 264042b01 197cb7754 1f2bb850d c87d6c2ad dc8d2dede cb6b01738 be4210368
    bb4622a77 733226ef8 4933ade39 1f1c896c7 897665aba 92f46ba12 297981767 ad702cf8d 473198b90
    ec2e8e06b 36a1d6980 a5ce8650f 637870348 f3ab41d46 e6032a8b5 4c11eec73 261de50d6 296616e32
    37cff1a0a c457847ab 776e52ff9 980819bb9 50cb2b5d8 8b6918063 12d9c2ce9 158c2e738 6b84015ea
    67695db9f 3e72745c1 01ca1a571 22e7036f5 d5dcedae1 809532c5b f7e4e9d54 59d84f9cb f42ed0851
    5db4a91fa 0d58e5b1f 69fb9fa43 29ba51f60 587c67427 d8b9021ed bb594449e aa231f35a 0d95943f4
    dec461257 05a16930d e2512eb58 ab48e2dc0 0cb68494f 927a6b5b1 bb90f3450 632e8fad0 c2eeaf2a7
    1eb2af39d 511548c52 4693d5de4 888e9161d 68836ff4f 51bd2e441 7a0ac40e9 8bb762b4a 1caf83a1a
    c2700bbbd fb2ed09aa f8520294e 7aa104ca6 6a96d2bcb 28f2ec75e 607065eb4 7ad9b3a8c 3572d6cbf
    d426efb8f 64ee4dbaa 983d7a8f1 8ca31f499 025457b46 d53ae4149 9d3c64396 795332ee5 70884d664
    1dd3528d8 d8e51d246 d6029ca38 d94ab610c 766bb8880 fd0c6b319 3bff8b9d1 e786f4d4e d4e6b9b79
    cfa8bb369 20a4366c6 5cefb9536 0f06b6605 bb51d25e7 f7e262641 81fda9855 2241dbc59 56fb4b280
    eda64c6d0 ce7b080f4 6192ee7e9 943ff5124 88b3beadf 9b27e58d0 be0b45fd2 69fb3a72a 61383a832
    6688639b3 54d01c992 90b10c02a f667fc6d1 7acd75813 3abd07f61 543012473 067794d58 a855b1201
    9cb4d7fdb 31a193e6a 3da3b76d4 4153f1e04 5544335b5 92f61249d 269a35f8a 042677896 9487cdc6f
    4ea7e7d9c 2e367345b 3a5e8f304 76d9faa77 64e4ea1df 12a7b434d 4973d9553 cdb418975 8bda76d2e
    f54a4dec8 811616f8a 4036f4e6b 2736282a6 a413d229f 901fe4c17 9abfce56e 2d325b9ef d9901f6a9
    3aa64fade 65288d60b 0a53e960b e9e09c3e4 4d9b7863d d98bb4833 34b181ed7 5b373f490 8572b7b91
    2c5d056a4 e4671296d 2a08d6f78 452949c61 2501ec5b7 b8f54779c a3b7ea4b3 443d6b9b4 be2dcb848
    b51fc47ec 6f38cf988 90f2fe934 07fd540ab ee53c3d08 f7098ebca 65467c309 ae6fd797e 8bc4739e9
    971930fe4 9a752df57 bd47fe53e 6f1530928 5de1cc489 111ce3dcd a4c7e157c 552691112 9d6511805
    6663c1cb3 bfc594002 3a3500387 76d4f679c 446f2667b 17ae59e97 36132d63e 8e07492bf 188acddf1
    ed9052d02 5b6bd01f5 84a4d070e c9b2a3af4 ab18852fc 9de918390 3576ee9e0 e8d00d210 709b5a95c
    a9022a314 a03ea2b9c 1e589ec5e 74470eedd 36bd44159 b7f8d2516 dcde4bfa5 9eda99c30 8ffb98a8b
    9ac777e71 8d0a53cb3 c9ed1dced c238535ea ee4aa6437 cd8345a1e 5a19e05ae 96d780d25 e2c885185
    c5314f8db a47c37ee1 1d82c6f8c 325c5c6c8 5d9d1bae0 9549e075e 8a6845c15 adf9f10fe 95cef30b0
    71933b20d 1f0de3a6f 596f5bba6 cd61d9f34 a478ad328 dade4012f d15764370 3a2bf5d22 2303e348d
    41b9bf9a9 5a4e93ee3 462b44512 4e01719c1 73a0d9137 932b416dd ff4b615a7 2c880f1ac 6f3bb6aa1
    476d21ae6 f9c290688 768111210 623458f55 f31919e1f ef47a7dd1 c6c777808 eec96f096 9b3c9bdaf
    6fd432573 60e7d0aa9 0651cda34 e2acc04e7 9460d1a22 82b79b177 4eb189f4b cbf9c3b1e 6f6c64841
    e54e50a2e 632f30f23 b3bb3de6c 6331f5383 bca1dafe5 d1816cab9 0d8407aca 794e1d7e5 92de65442
    651497949 33f751712 3c9ce9195 7ecb81d7a ede140178 c09b0ee2c 14e61f774 6d336649a 865dd0880
    f7214bfb8 d8b9c2e22 99a70737f c0ecf90c9 bb8b26e01 05678fcac 33b483834 eb9d84b83 7ca277ea2
    02af5f66b 4a678c122 121592bf3 cc82b48c9 77cbe90fc 5ef7d7931 117947995 344d5f970 df2f12e72
    114277b37
    """.split()  # noqa: SIM905 — a table reads better so
)
