"""Rows of a survey: read onto a boat, written from one, and the same again after a round trip through CSV."""

from dataclasses import replace
from functools import reduce
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from server.actions import survey_list
from server.actions.survey_list import read_list, rows_of, whole_edit
from server.actions.survey_rows import Aboard, SurveyRow, read_row
from server.actions.survey_sizes import printed_size
from server.actions.survey_spots import Spots
from server.actions.survey_text import TableError, as_text, quoted, read_text, unquoted, written
from server.actions.yard import Yard, open_yard
from server.boat import caps
from server.boat.boat import Boat
from server.boat.constructors import electronics, fuse, link
from server.boat.devices import PanelSection, PanelWay
from server.boat.document import boat_bytes, read_boat
from server.boat.edits import RemoveCable, RemoveConductor, Rename, apply
from server.boat.parts import Battery, Busbar, Combiner, Fuse, MeasuringShunt, Panel
from server.boat.presets import on_off, selector
from server.boat.value import Span, TerminalRef
from server.bundled import bundled
from server.practice.sizes import UnknownSizeError
from server.store.errors import StaleError
from server.store.repository import Repository

HULL = Boat(
    format="tapchart.boat",
    version=1,
    name="Heron",
    nominal_voltage_v=12.0,
    parts=(
        Battery(kind="battery", id="battery", name="Battery", chemistry="agm", nominal_voltage_v=12.0),
        Busbar(kind="busbar", id="bus", name="Bus", studs=8),
    ),
)
SEEDS = sorted(bundled("seed_boats").glob("[1-4]-*.json"))


def put(boat: Boat, *rows: SurveyRow) -> Boat:
    """The boat with good rows."""
    read = read_list(boat, rows)
    edit = whole_edit(read)
    assert all(one.is_good for one in read), [one.errors for one in read]
    return boat if edit is None else apply(boat, edit)


ROW = SurveyRow(
    number="7", tail="Battery: positive", head="Bus: stud 1", size="35 mm²", length="2.5", fuse="100"
)


def test_a_fuse_sits_on_the_first_end_and_the_row_is_read_back() -> None:
    boat = put(HULL, ROW)

    assert [one.kind for one in boat.conductors] == ["link", "wire"]
    assert rows_of(boat) == (ROW,)


@pytest.mark.parametrize(
    ("length", "basis"), [("2.5", "measured"), ("about 3", "estimated"), ("2 to 4", "estimated"), ("", None)]
)
def test_a_length_is_measured_an_estimate_a_range_or_open(length: str, basis: str | None) -> None:
    boat = put(HULL, replace(ROW, length=length))

    assert boat.conductors[1].length_basis == basis
    assert isinstance(boat.conductors[1].length_m, Span) == ("to" in length)
    assert rows_of(boat)[0].length == length


@pytest.mark.parametrize(
    ("wrong", "column"),
    [
        ({"size": "10"}, "size"),
        ({"length": "-1"}, "length"),
        ({"length": "1e9"}, "length"),
        ({"length": "1_0"}, "length"),
        ({"length": "٣"}, "length"),
        ({"length": "nan"}, "length"),
        ({"length": "inf to 3"}, "length"),
        ({"fuse": "0"}, "fuse"),
        ({"fuse": "=2+3"}, "fuse"),
        ({"head": "Battery: positive"}, "head"),
        ({"what": "x" * 121}, "what"),
        ({"note": "x" * 251}, "note"),
        ({"note": "bell \x07"}, "note"),
    ],
)
def test_what_is_wrong_is_said_of_its_column_and_nothing_is_asked_for(
    wrong: dict[str, str], column: str
) -> None:
    read = read_row(Aboard(HULL), replace(ROW, **wrong))

    assert list(read.errors) == [column]
    assert read.errors[column]
    assert not read.edits


@pytest.mark.parametrize("text", ["battery positive", "BATTERY:positive", " Battery  : positive "])
def test_neither_case_nor_colons_nor_spaces_matter(text: str) -> None:
    boat = put(HULL, SurveyRow(number="1", tail=text))

    assert rows_of(boat)[0].tail == "Battery: positive"


@pytest.mark.parametrize("text", ["bus", "BUS:", "Bus: next free stud"])
def test_a_bar_named_alone_means_its_next_free_stud(text: str) -> None:
    boat = put(HULL, SurveyRow(number="1", tail=text), SurveyRow(number="2", tail=text))

    assert [one.tail for one in rows_of(boat)] == ["Bus: stud 1", "Bus: stud 2"]


def test_what_two_terminals_may_be_called_is_neither() -> None:
    bars = [
        Busbar(kind="busbar", id=name, name=title, studs=1) for name, title in (("a", "A: b"), ("c", "A b"))
    ]
    boat = HULL.model_copy(update={"parts": tuple(bars)})

    assert read_row(Aboard(boat), SurveyRow(tail="a b stud 1")).edits[-1].conductor.tail is None  # type: ignore[union-attr]
    assert read_row(Aboard(boat), SurveyRow(tail="a b: stud 1")).edits[-1].conductor.tail.part == "c"  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("bat pos", "Battery: positive"),
        ("batery positiv", "Battery: positive"),
        ("bu", "Bus: next free stud"),
    ],
)
def test_an_end_that_is_not_aboard_is_kept_and_what_it_may_mean_is_asked(text: str, meant: str) -> None:
    (told,) = read_row(Aboard(HULL), SurveyRow(tail=text)).told

    assert told.endswith(f"a loose end with this note. Did you mean {meant}?")


STARTS = HULL.model_copy(
    update={
        "parts": (
            *HULL.parts,
            Battery(kind="battery", id="s1", name="Start battery 1", chemistry="agm", nominal_voltage_v=12.0),
            Busbar(kind="busbar", id="n", name=":", studs=1),
            Busbar(kind="busbar", id="p", name="Engine bar 1", studs=2),
        )
    }
)


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("Start battery positive", "Start battery 1: positive"),
        ("start battery +", "Start battery 1: positive"),
        ("Start battery −", "Start battery 1: negative"),
        ("start battery 1 neg", "Start battery 1: negative"),
        ("engine bar", "Engine bar 1: stud 1"),
    ],
)
def test_an_end_that_leads_to_one_terminal_is_taken_for_it_and_said(text: str, meant: str) -> None:
    boat = put(STARTS, SurveyRow(number="1", tail=text))
    told = read_row(Aboard(STARTS), SurveyRow(tail=text)).told

    assert rows_of(boat)[0].tail == meant
    assert all(one.startswith(f"From: {text}, taken for {meant.partition(':')[0]}") for one in told)


def test_an_end_that_may_be_several_terminals_is_asked_and_never_guessed() -> None:
    read = read_row(Aboard(STARTS), SurveyRow(tail="Start battery", head="Start 1 positive"))
    twins = STARTS.model_copy(
        update={
            "parts": (
                *STARTS.parts,
                *(
                    STARTS.parts[2].model_copy(update={"id": f"s{n}", "name": f"Start battery {n}"})
                    for n in (2, 3)
                ),
            )
        }
    )

    assert read.edits[-1].conductor.tail is None  # type: ignore[union-attr]
    assert read.told[0].endswith("Which one: Start battery 1: positive or Start battery 1: negative?")
    assert Spots(twins).which("start battery").endswith("Start battery 2: negative or one of 2 more?")
    assert Spots(twins).called("start battery 2 +", ()) == TerminalRef(part="s2", terminal="positive")


WALK = Boat(
    format="tapchart.boat",
    version=1,
    name="Heron",
    nominal_voltage_v=12.0,
    parts=(
        *HULL.parts,
        Panel(
            kind="panel",
            id="panel",
            name="Panel",
            sections=(
                PanelSection(
                    id="dc", name="Main", polarity="positive", ways=(PanelWay(id="w1", name="VHF"),), studs=0
                ),
                PanelSection(id="neg", name="Negative bar", polarity="negative", ways=(), studs=2),
            ),
        ),
        electronics("vhf", "VHF", 20.0),
        fuse("main", "Main fuse", 100.0),
        on_off("switch", "Battery switch"),
        selector("selector", "Selector"),
        MeasuringShunt(
            kind="measuring-shunt", id="shunt", name="Shunt", rated_current_a=500.0, rated_voltage_v=0.05
        ),
        Busbar(kind="busbar", id="lone", name="Lone bar", studs=2),
        Combiner(kind="combiner", id="relay", name="Charging relay"),
    ),
    conductors=(link("home", "bus.stud-8", "battery.negative"),),
)


@pytest.mark.parametrize(
    ("row", "tail", "head"),
    [
        (
            {"tail": "Battery", "head": "Main fuse", "colour": "red"},
            "Battery: positive",
            "Main fuse: line side",
        ),
        ({"tail": "Main fuse", "head": "Battery switch"}, "Main fuse: load side", "Battery switch: in"),
        ({"tail": "Battery switch", "head": "Panel"}, "Battery switch: out", "Panel: Main feed"),
        ({"tail": "Panel", "head": "VHF", "what": "vhf"}, "Panel: way VHF", "VHF: main"),
        ({"tail": "Panel", "head": "VHF: main"}, "Panel: way VHF", "VHF: main"),
        ({"tail": "VHF", "head": "bus"}, "VHF: negative", "Bus: stud 1"),
        ({"tail": "VHF", "head": "Panel", "colour": "Yellow"}, "VHF: negative", "Panel: Negative bar stud 1"),
        ({"tail": "bus", "head": "Battery", "colour": "black"}, "Bus: stud 1", "Battery: negative"),
    ],
)
def test_a_part_named_alone_is_met_where_the_rest_of_the_row_leaves_but_one_terminal(
    row: dict[str, str], tail: str, head: str
) -> None:
    """Red for positive, black or yellow for negative: ABYC E-11, functional colours."""
    boat = put(WALK, SurveyRow(**row))
    told = " ".join(read_row(Aboard(WALK), SurveyRow(**row)).told)

    assert (rows_of(boat)[0].tail, rows_of(boat)[0].head) == (tail, head)
    assert all(one in tail or "taken for" in told for one in row.values())


@pytest.mark.parametrize(
    "row",
    [
        {"tail": "VHF"},
        {"tail": "VHF", "head": "bus", "colour": "red"},
        {"tail": "VHF", "colour": "brown"},
        {"tail": "Panel", "what": "Radar", "colour": "red"},
        {"tail": "Main fuse", "colour": "black"},
        {"tail": "Shunt", "colour": "black"},
        {"tail": "Selector", "colour": "red"},
        {"tail": "Charging relay", "colour": "red"},
        {"tail": "Bus", "head": "Lone bar"},
    ],
)
def test_a_part_named_alone_is_asked_about_where_more_than_one_terminal_may_be_meant(
    row: dict[str, str],
) -> None:
    wire = next(one for one in put(WALK, SurveyRow(**row)).conductors if one.kind == "wire")

    assert wire.tail is None or wire.tail.part in {"bus", "lone"}


def test_a_device_is_entered_and_left_only_where_nothing_lies_yet() -> None:
    row = SurveyRow(tail="Main fuse", head="Battery switch", colour="red")
    boat = put(WALK, row, row)

    assert [one.tail for one in rows_of(boat)] == ["Main fuse: load side", "Main fuse"]


@pytest.mark.parametrize("text", ["behind the tank", ":"])
def test_of_an_end_that_is_like_no_terminal_nothing_is_asked(text: str) -> None:
    (told,) = read_row(Aboard(HULL), SurveyRow(head=text)).told

    assert "Did you mean" not in told


@pytest.mark.parametrize("tail", ["", "under the floor"])
def test_a_fuse_without_a_terminal_to_sit_on_is_kept_in_the_note(tail: str) -> None:
    row = replace(ROW, tail=tail, fuse="7.5", note="warm")
    boat = put(HULL, row)

    assert not any(isinstance(one, Fuse) for one in boat.parts)
    assert "Fuse: 7.5 A; warm" in (boat.conductors[0].notes or "")
    assert "in the note until the cable begins" in read_row(Aboard(HULL), row).told[-1]
    assert rows_of(boat) == (row,)


def test_the_next_free_stud_is_the_next_for_each_row_until_there_is_none() -> None:
    row = SurveyRow(head="bus: next free stud")
    boat = put(HULL, *[row] * 9)
    heads = [None if one.head is None else one.head.terminal for one in boat.conductors]

    assert heads == [*(f"stud-{n}" for n in range(1, 9)), None]
    assert read_row(Aboard(boat), row).told[0].endswith("No stud is free there any more.")


def test_the_seed_boats_go_out_and_in_again_as_the_same_rows() -> None:
    """With every wire taken out and put in anew from the CSV, the CSV is the same, byte for byte."""
    for path in SEEDS:
        boat = read_boat(path.read_bytes())
        text = written(rows_of(boat))
        wires = [RemoveConductor(id=one.id) for one in boat.conductors if one.kind == "wire"]
        bare = reduce(apply, wires, boat)
        bare = reduce(apply, [RemoveCable(id=one.id) for one in boat.cables], bare)
        rows = [line.row for line in read_text(text)]

        assert written(rows_of(put(bare, *rows))) == text, path.name


CELLS = st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cs", "Zl", "Zp"]), max_size=12).map(
    str.strip
)
TERMINALS = (
    st.sampled_from(["", "Battery: positive", "Battery: negative", "Bus: stud 1", "Bus: stud 2"]) | CELLS
)


@st.composite
def rows(draw: st.DrawFn) -> SurveyRow:
    """Rows that are good: unfinished ones, wild texts, ends that are no terminals."""
    tail = draw(TERMINALS)
    head = draw(TERMINALS.filter(lambda text: not text or text != tail))
    return SurveyRow(
        number=draw(CELLS),
        tail=tail,
        head=head,
        size=draw(st.sampled_from(["", "10 AWG", "SAE 8", "1.5 mm²"])),
        length=draw(st.sampled_from(["", "0.25", "about 3", "2 to 4.5"])),
        fuse=draw(st.sampled_from(["", "7.5", "100"])),
        colour=draw(CELLS),
        what=draw(CELLS),
        note=draw(CELLS),
    )


@settings(max_examples=60, deadline=None)
@given(st.lists(rows(), max_size=4))
def test_rows_out_of_a_boat_and_in_again_are_the_same_rows(some: list[SurveyRow]) -> None:
    text = written(rows_of(put(HULL, *some)))
    again = [line.row for line in read_text(text)]

    assert written(rows_of(put(HULL, *again))) == text


@settings(max_examples=100, deadline=None)
@given(st.text(max_size=10))
def test_a_quoted_cell_begins_no_formula_and_is_read_as_it_was(cell: str) -> None:
    assert quoted(cell)[:1] not in {"=", "+", "-", "@", "\t", "\r"}
    assert unquoted(quoted(cell)) == cell


def test_csv_has_heads_and_no_cell_that_a_spreadsheet_would_run() -> None:
    text = written([SurveyRow(number="1", what='=HYPERLINK("x")', note="-3")])

    assert text.splitlines()[0] == "Number,From,To,Size,Length in m,Fuse in A,Colour,What,Note"
    assert "'=HYPERLINK" in text
    assert ",'-3" in text


@pytest.mark.parametrize("head", ["Nr", "No.", "nr.", "Tag"])
def test_the_column_of_numbers_goes_by_many_names(head: str) -> None:
    (line,) = read_text(f"{head};From\n7;Bus\n")

    assert line.row == SurveyRow(number="7", tail="Bus")


def test_columns_of_other_names_go_into_the_note() -> None:
    (line,) = read_text("Number;From;Deck;Seen by\n7;Battery: positive;aft;KM\n")

    assert line.row.note == "Deck: aft; Seen by: KM"
    assert read_text("1,a,b,10 AWG,2,5,red,lamp,aft,more")[0].row.note == "aft; more"


def test_cells_may_hold_marks_quotes_and_line_ends() -> None:
    cells = ["7", 'a "b"', "c\nd", "10 AWG", "1,5"]

    assert read_text(as_text([cells]))[0].cells == tuple(cells)


@pytest.mark.parametrize(
    ("text", "place"),
    [('7,"never closed\n8,x', "line"), (f"7,{'x,' * 60}y", "line 1"), ("1,a\n" * 301, "line 301")],
)
def test_what_cannot_be_told_apart_is_refused_with_its_line(text: str, place: str) -> None:
    with pytest.raises(TableError) as error:
        read_text(text)

    assert error.value.place.startswith(place)


def test_a_size_that_two_systems_have_is_not_guessed() -> None:
    with pytest.raises(UnknownSizeError, match="write which"):
        printed_size("4")
    assert printed_size("50").label == "50 mm²"
    assert printed_size("00").label == "2/0 AWG"


@pytest.fixture
def yard(tmp_path: Path) -> Yard:
    """A yard with one boat."""
    yard = open_yard(tmp_path)
    yard.store.create(
        body=boat_bytes(HULL),
        name="Heron",
        role="working",
        author="test",
        request_id="made-it",
        boat_id="heron",
    )
    return yard


def test_a_row_goes_onto_what_others_made_meanwhile(yard: Yard, monkeypatch: pytest.MonkeyPatch) -> None:
    append, others = Repository.append, ["other-row-1", "other-row-2"]

    def raced(self: Repository, boat_id: str, base_rev: int, **more: str) -> object:
        if others and more["request_id"] == "my-row-1":
            survey_list.put_in(yard, boat_id, SurveyRow(number="1"), others.pop())
        return append(self, boat_id, base_rev, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(Repository, "append", raced)
    opened, read = survey_list.put_in(yard, "heron", SurveyRow(number="2"), "my-row-1")

    assert read.is_good
    assert [one.number for one in opened.boat.cables] == ["1", "2"]
    assert [one.cores for one in opened.boat.cables] == [2, 1]


def test_a_boat_that_is_full_takes_no_row_and_says_so(yard: Yard, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(caps, "MOST_CONDUCTORS", 0)
    opened, read = survey_list.put_in(yard, "heron", SurveyRow(number="2"), "my-row-3")

    assert "may have 0 conductors" in read.errors["number"]
    assert not read.is_good
    assert opened.rev == 1


@pytest.mark.parametrize("text", ["10 ft", "10'", "10 feet", "3.048", "3,048 m"])
def test_a_length_may_be_in_feet(text: str) -> None:
    """A foot is 0.3048 m by definition (international yard and pound agreement, 1959)."""
    assert put(HULL, SurveyRow(length=text, number="1")).conductors[0].length_m == pytest.approx(3.048)


def test_a_row_gives_up_where_the_boat_never_stands_still(
    yard: Yard, monkeypatch: pytest.MonkeyPatch
) -> None:
    def raced(*_: object, **__: object) -> object:
        raise StaleError(yard.store.head("heron"), ())

    monkeypatch.setattr(Repository, "append", raced)
    with pytest.raises(StaleError):
        survey_list.put_in(yard, "heron", SurveyRow(number="2"), "my-row-2")


def test_a_fuse_that_says_more_than_its_rating_is_a_part_of_its_own() -> None:
    boat = put(HULL, ROW)
    fuse = next(one for one in boat.parts if isinstance(one, Fuse))
    named = apply(boat, Rename(id=fuse.id, name="Main fuse"))

    assert rows_of(named)[0].tail == "Main fuse: load side"
    assert rows_of(named)[0].fuse == ""
