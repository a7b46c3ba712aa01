"""Units are part of names: a float without one is dimensionless, or a written exception."""

import ast
import re

UNITS = re.compile(
    r"(^|_)(m|mm|kg|n|pa|k|rad|mps|s|j|kg_m3|pa_s|m2|m3|per_m|per_mm|per_s|rad2|m_2|deg|pt|ns|mps2"
    r"|m_per_rad|mm_per_m|kg_mps|gray)$"
)
FLOAT = re.compile(r"\b(float|Floats|ArrayLike|Belief)\b")

# name → why it needs no unit; grouped by reason
REASONS = {
    "a pure number": """
        across arrows band believed_share bias chance chance_right chance_up clicks closeness
        conflict counts critical density_ratio down drag_coefficient effective
        effective_draws f_ratio factor findable freedoms grey hills laminar learnt odds
        on_butt per_click probability reading_per_travel relative_humidity reynolds
        reynolds_at_middle right_clicks right_per_pin risk saved scale shape share statistic
        stretch stretches surprise t_squared tail_shape tangent tangents tilt turbulent
        up_per_reading variance_over_doubt2 wanted weight weights width zeroed_tangent
        confidence softness focal_ratio
        windage_clicks moved log_likelihood log_share normal
        sense most_stored stored_share two_bows_odds log_evidence
        gain gain_parts bend mark_score gain_score spread
        information innovation log_ratio right_error slow_chance up_error
    """,
    "vectors of unknowns, each in its own unit": """
        away believed best cloud covariance integrated mean middle of_groups of_prior part point
        windage
        points root sd start state told unknowns
        vector vectors whitener
    """,
    "in a unit that stands beside it in its record or call": """
        alone alone_sd doubt ends half high least limits low median number numbers offset sd sheet
        sheet_high sheet_low
        size usual value values said
        doubt2 variance wobble2 amount limits ends doubts
        a_month growths miss shapes trend
        along before by measured now
    """,
    "whitened or an angle of the misfit, whose docstring says rad": """
        arrow centre centres dispersion sds there shift2
    """,
    "counted in pixels of a picture": """
        aim aim_x aim_y corners pixels radius taps
    """,
    "yards or metres, as the sheet prints them": """
        align_at distance distances between ticks notches
    """,
    "days, with what is written there": """
        alarm changes day months
    """,
    "in the unit of whatever the law is about": """
        sum_of_squares xy fields
    """,
}
UNITLESS = {name for names in REASONS.values() for name in names.split()}
PRINTED = {"align_at", "distance", "distances", "between", "ticks", "notches"}
PRINTING = (
    "drawing", "print_tape", "rebuild_tape", "printing", "wording", "ready_strips",
    "choose_strip", "print_family", "strip_names",
)  # fmt: skip


def public(nodes):
    return [one for one in nodes if not getattr(one, "name", "_").startswith("_")]


def functions(tree):
    for node in public(tree.body):
        if isinstance(node, ast.FunctionDef):
            yield node
        elif isinstance(node, ast.ClassDef):
            yield from (one for one in public(node.body) if isinstance(one, ast.FunctionDef))


def records(tree):
    for node in public(tree.body):
        if isinstance(node, ast.ClassDef) and any(
            "dataclass" in ast.unparse(one) for one in node.decorator_list
        ):
            yield node


def floats(tree):
    """Name and owner of every float field and parameter that others can see."""
    for record in records(tree):
        for field in record.body:
            if isinstance(field, ast.AnnAssign) and FLOAT.search(ast.unparse(field.annotation)):
                yield ast.unparse(field.target), record.name
    for function in functions(tree):
        for arg in (*function.args.args, *function.args.kwonlyargs):
            kind = ast.unparse(arg.annotation) if arg.annotation else ""
            if FLOAT.search(kind) and "Callable" not in kind:
                yield arg.arg, function.name


def has_unit(name, room):
    if UNITS.search(name) or name.startswith("by_"):
        return True
    if name in PRINTED and not any(word in str(room) for word in PRINTING):
        return False
    return name in UNITLESS


def test_floats_carry_their_unit_in_their_name(room):
    tree = ast.parse(room.read_text(encoding="utf-8"))
    bare = {f"{name} of {owner}" for name, owner in floats(tree) if not has_unit(name, room)}
    assert not bare


def test_a_suffix_is_not_a_lie(room):
    # a name with two units, or metres in the wing of millimetres, is one
    for name, owner in floats(ast.parse(room.read_text(encoding="utf-8"))):
        assert not re.search(r"_(yd|in|ft|fps|gr|lb|inch|yards)$", name), (name, owner)
        if "/drawing/" in room.as_posix():
            assert not name.endswith(("_m", "_mps", "_kg")), (name, owner)


def test_records_cannot_be_changed(room):
    for record in records(ast.parse(room.read_text(encoding="utf-8"))):
        decorators = " ".join(ast.unparse(one) for one in record.decorator_list)
        bases = {ast.unparse(one) for one in record.bases}
        is_error = any("Error" in one or one == "BadInput" for one in bases)
        assert "frozen=True" in decorators or is_error, record.name


def test_the_looking_itself_sees():
    tree = ast.parse("def drop(distance: float, speed_mps: float, note: str) -> None: ...")
    assert list(floats(tree)) == [("distance", "drop"), ("speed_mps", "drop")]
    assert not has_unit("distance", "flight/air.py")
    assert has_unit("distance", "drawing/ticks.py")
    assert has_unit("speed_mps", "flight/air.py")
    assert not has_unit("velocity", "flight/air.py")
