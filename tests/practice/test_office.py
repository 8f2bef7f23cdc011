"""An office's own table: read from text, looked up, and refused row by row. All figures here are made up."""

import pytest

from server.practice.office import OfficeTable, office_ampacity
from server.practice.office_text import (
    MOST_LETTERS,
    OfficeTextError,
    TextProblem,
    office_text,
    read_office_table,
)
from server.practice.sourced import NoFigure, Sourced

HEAD = """# standard: Made-up standard
# edition: 2099
# clause: table 1
# typed by: A. Bee
# checked by: C. Dee
"""
ROWS = """size; 70; 90; 105
1,5; 11; 13; –
6 mm²; 31; 37; 41
10 AWG; 29; 35; 39
engine space; 0.5; 0.75
bundle 4-6; 0.8
bundle 7+; 0.6
bundle 3; 0.9
"""


def table(rows: str = ROWS) -> OfficeTable:
    return read_office_table(HEAD + rows)


def problems(text: str) -> tuple[TextProblem, ...]:
    with pytest.raises(OfficeTextError) as refused:
        read_office_table(text)
    return refused.value.problems


def amps(label: str, insulation_c: float, **more: bool | int) -> float:
    found = office_ampacity(table(), label, insulation_c, **more)  # type: ignore[arg-type]
    assert isinstance(found, Sourced)
    return found.value


def reason(label: str, insulation_c: float, **more: bool) -> str:
    found = office_ampacity(table(), label, insulation_c, **more)
    assert isinstance(found, NoFigure)
    return found.reason


def test_a_figure_is_read_in_its_own_column_or_the_next_lower_one() -> None:
    assert amps("6 mm²", 90) == 37.0
    assert amps("6 mm²", 104) == 37.0
    assert amps("6 mm²", 200) == 41.0
    assert amps("10 AWG", 70) == 29.0
    assert amps("1.5 mm²", 105) == 13.0


def test_engine_space_and_bundle_take_off_what_the_table_says() -> None:
    assert amps("6 mm²", 90, engine_space=True) == pytest.approx(37.0 * 0.75)
    assert amps("6 mm²", 90, bundled_conductors=3) == pytest.approx(37.0 * 0.9)
    assert amps("6 mm²", 90, bundled_conductors=5) == pytest.approx(37.0 * 0.8)
    assert amps("6 mm²", 90, bundled_conductors=40) == pytest.approx(37.0 * 0.6)
    assert amps("6 mm²", 90, bundled_conductors=2) == 37.0
    assert amps("6 mm²", 90, engine_space=True, bundled_conductors=7) == pytest.approx(37.0 * 0.75 * 0.6)


def test_every_figure_says_whose_it_is_and_may_decide() -> None:
    found = office_ampacity(table(), "6 mm²", 90)

    assert isinstance(found, Sourced)
    assert found.source == (
        "office's own table, Made-up standard, edition 2099, table 1, typed by A. Bee, checked by C. Dee"
    )
    assert (found.status, found.may_decide, found.unit) == ("office", True, "A")


def test_what_the_table_has_not_is_not_judged() -> None:
    assert "no row for 35 mm²" in reason("35 mm²", 90)
    assert "no figure for 6 mm² of 60 °C" in reason("6 mm²", 60)
    assert "no engine space factor" in office_reason_without_factors()


def office_reason_without_factors() -> str:
    plain = table("size; 70\n6; 31\n")
    found = office_ampacity(plain, "6 mm²", 70, engine_space=True)
    assert isinstance(found, NoFigure)
    return found.reason


def test_a_table_written_as_text_is_read_back_the_same() -> None:
    for rows in (ROWS, "size; 70\n6; 31\n"):
        assert read_office_table(office_text(table(rows))) == table(rows)


@pytest.mark.parametrize("mark", [";", "\t", ","])
def test_cells_may_be_parted_by_semicolons_tabs_or_commas(mark: str) -> None:
    rows = "size; 70; 90\n6; 31; 37\nengine space; 0.5; 0.75\nbundle 4-6; 0.8\n"

    assert table(rows.replace("; ", mark)) == table(rows)


def test_words_of_a_spreadsheet_are_understood() -> None:
    rows = "\ufeffmm2;70 °C;90C\n\n6 mm2;31;37\n10 awg;29;35\nengine room;0,5;0,75\nBundle 4 to 6;0,8\n"

    assert table(rows) == table(
        "size; 70; 90\n6; 31; 37\n10 AWG; 29; 35\nengine space; .5; .75\nbundle 4-6; .8\n"
    )


@pytest.mark.parametrize(
    ("row", "message", "mend"),
    [
        ("wide; 31; 37; 41", "“wide” is no conductor size", "Write a size like 6, 6 mm² or 10 AWG."),
        ("4; 31; x; 41", "“x” under 90 °C is not a current in amperes", "or – where the standard has none"),
        ("4; 31; -3; 41", "“-3” under 90 °C is not a current", "Write a number"),
        ("4; 31; ٣; 41", "“٣” under 90 °C is not a current", "Write a number"),
        ("4; 1; 2; 3; 4", "4 figures for 3 insulation temperatures", "Take the extra ones out"),
        ("4; –; –; –", "it has no figure", "take the row out"),
        ("6; 31; 37; 41", "6 mm² stands there twice", "Keep the row that is in the standard."),
        ("engine space; 1.2; 0.7", "“1.2” under 70 °C is not a factor up to 1", "Write a number"),
        ("bundle few; 0.7", "“bundle few” names no bundle", "bundle 4-6; 0.7"),
        ("bundle 6-4; 0.7", "“bundle 6-4” names no bundle", "bundle 25+; 0.5"),
        ("bundle 1; 0.7", "“bundle 1” names no bundle", "bundle 4-6; 0.7"),
        ("bundle 4-6; 7", "its factor is not a number up to 1", "bundle 4-6; 0.7"),
        ("bundle 4-6", "its factor is not a number up to 1", "bundle 4-6; 0.7"),
    ],
)
def test_a_wrong_row_is_named_with_its_number_and_the_mend(row: str, message: str, mend: str) -> None:
    (one,) = problems(HEAD + ROWS + row + "\n")

    assert one.place == "row 14"
    assert message in one.message
    assert mend in one.mend
    assert str(one) == f"row 14: {one.message} {one.mend}"


def test_every_wrong_row_is_told_at_once() -> None:
    assert [one.place for one in problems(HEAD + ROWS + "wide; 1\n4; x; 2; y\n")] == [
        "row 14",
        "row 15",
        "row 15",
    ]


@pytest.mark.parametrize(
    ("first", "message"),
    [
        ("size; 90; 70", "rising order"),
        ("size; warm", "rising order"),
        ("size", "rising order"),
        ("size; 30; 70", "between 40 and 260 °C"),
        ("size; " + "; ".join(str(n) for n in range(40, 61)), "between 40 and 260 °C"),
    ],
)
def test_a_first_row_that_names_no_temperatures_is_refused(first: str, message: str) -> None:
    found = problems(f"{HEAD}{first}\n6; 31\n")

    assert found[0].place == "row 6"
    assert message in found[0].message


def test_what_has_to_be_said_of_a_table_is_asked_for_by_name() -> None:
    found = problems("# standard: Made-up\n# edition:\n# clause: " + "x" * 121 + "\nsize; 70\n6; 31\n")

    assert [(one.place, one.message) for one in found] == [
        ("edition", "“Edition” is empty."),
        ("clause", "“Clause or table” is too long."),
        ("typed by", "“Typed by” is empty."),
        ("checked by", "“Checked by” is empty."),
    ]


def test_an_empty_or_an_endless_table_is_refused() -> None:
    assert problems(HEAD)[0].message == "there is no row of a conductor size."
    assert problems(HEAD + "size; 70\n")[0].message == "there is no row of a conductor size."
    assert problems("x" * (MOST_LETTERS + 1))[0].message == "it is too long."
    many = "".join(f"bundle {n}; 0.5\n" for n in range(2, 30))
    assert problems(f"{HEAD}size; 70\n6; 31\n{many}")[0].message == "it has more rows than any standard."
