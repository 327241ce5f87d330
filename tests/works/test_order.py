"""order.toml: named chains, duties, and all that can be wrong with them."""

import datetime
from pathlib import Path

import pytest

from linkwright.catalogue import Sourced, recording
from linkwright.quantities import InputErrors, Problem, UnknownName
from linkwright.works import Order, demo_bytes, demo_order, order_of_bytes

HEAD = '[order]\nnumber = "Q-1"\ncustomer = "Northmoor quarry"\ndue = 2026-12-18\n'
CHAIN = 'product = "welded"\nstandard = "EN 818-2"\nsize = "8 mm"\nlength = "300 m"\n'
DRIVE = (
    'power = "30 kW"\ndriver_speed = "96 rpm"\ndriven_speed = "16 rpm"\nshock = "moderate shocks"\n'
)


def read(*lines: str, head: str = HEAD) -> Order:
    return order_of_bytes((head + "".join(f"[[line]]\n{line}" for line in lines)).encode())


def problems(*lines: str, head: str = HEAD) -> dict[str, Problem]:
    with pytest.raises(InputErrors) as caught:
        read(*lines, head=head)
    return {problem.key or "": problem for problem in caught.value.found}


def test_demo_order_has_a_lifting_chain_a_drive_and_a_roller_chain() -> None:
    """300 m of 8 mm grade 8 sling chain, 30 kW for a drum, 16B by its number, with a date."""
    order = demo_order()
    line, drive, named = order.lines
    assert drive.drive is not None
    assert (drive.form, drive.drive.power_kW, drive.drive.driven_speed_rpm) == (
        "drive duty", 30.0, 16.0,
    )  # fmt: skip
    assert (named.product, named.size, named.length_m) == ("roller", "16B", 500.0)
    assert (line.form, line.product, line.standard, line.grade) == (
        "chain", "welded", "EN 818-2", "8",
    )  # fmt: skip
    assert (line.size_mm, line.length_m, order.due) == (8.0, 300.0, datetime.date(2026, 12, 18))
    assert "Invented" in (order.note or "")


@pytest.mark.parametrize(
    ("written", "metres"),
    [
        ("length_m = 300", 300.0),
        ("length_m = 0.5", 0.5),
        ("length_m = 1_000", 1000.0),
        ('length = "300 m"', 300.0),
        ('length = "300m"', 300.0),
        ('length = "50000 mm"', 50.0),
        ('length = "100 ft"', 30.48),
        ('length = "1 1/4 km"', 1250.0),
    ],
)
def test_quantities_as_numbers_and_as_texts(written: str, metres: float) -> None:
    """A number is in the unit of the key, a text carries its own."""
    line = read(CHAIN.replace('length = "300 m"', written)).lines[0]
    assert line.length_m == pytest.approx(metres, rel=1e-15)


def test_grade_may_be_a_number_or_a_text_or_left_out() -> None:
    """A standard with one grade needs none; 8 and "8" are the same."""
    orders = [read(CHAIN), read(CHAIN + "grade = 8\n"), read(CHAIN + 'grade = "8"\n')]
    assert {order.lines[0].grade for order in orders} == {"8"}
    assert len({order.content_hash() for order in orders}) == 1


def test_standard_with_several_grades_needs_one() -> None:
    """The grades of the standard are what is accepted."""
    line = CHAIN.replace("EN 818-2", "ASTM A413")
    assert problems(line)["line.grade"].accepted == "30, 43, 70 (ASTM A413)"
    assert read(line + "grade = 43\n").lines[0].grade == "43"


def test_lifting_duty() -> None:
    """A working load with legs and length is kept as a duty."""
    line = read('working_load = "12.5 t"\nlegs = 2\nlength = "60 m"\n').lines[0]
    assert (line.form, line.working_load_t, line.legs, line.length_m) == (
        "lifting duty", 12.5, 2, 60.0,
    )  # fmt: skip


def test_drive_duty() -> None:
    """A table [line.drive] is kept as a duty with its numbers placed."""
    text = f'[line.drive]\n{DRIVE}environment = "dusty"\nhours_per_day = 16\n'
    line = read(text).lines[0]
    assert line.form == "drive duty"
    assert line.drive is not None
    assert (line.drive.power_kW, line.drive.driver_speed_rpm, line.drive.driven_speed_rpm) == (
        30.0, 96.0, 16.0,
    )  # fmt: skip
    assert (line.drive.shock, line.drive.driver_shock) == ("moderate shocks", "smooth")
    assert line.drive.ratio is None
    assert line.drive.place("power_kW") == "order.toml:7"
    assert (line.drive.teeth_small, line.drive.lubrication, line.drive.greatest_width_mm) == (
        None, None, None,
    )  # fmt: skip


def test_drive_duty_may_fix_teeth_lubrication_and_room() -> None:
    """What the place of the drive fixes; counts know their line while one records."""
    text = (
        f"[line.drive]\n{DRIVE}teeth_small = 19\nteeth_large = 114\n"
        'lubrication = "drip"\ngreatest_sprocket_diameter = "0.9 m"\ngreatest_width = "150 mm"\n'
    )
    drive = read(text).lines[0].drive
    assert drive is not None
    assert (drive.teeth_small, drive.teeth_large, drive.lubrication) == (19.0, 114.0, "drip")
    assert (drive.greatest_sprocket_diameter_mm, drive.greatest_width_mm) == (900.0, 150.0)
    with recording() as derivation:
        kept = drive.teeth_small
    assert isinstance(kept, Sourced)
    assert derivation.entries[kept.entry].source == "order.toml:11 [line.drive] teeth_small"


@pytest.mark.parametrize(
    ("given", "key"),
    [
        ("teeth_small = 10", "teeth_small"),
        ("teeth_large = 151", "teeth_large"),
        ("teeth_small = 19.5", "teeth_small"),
        ("teeth_small = 30\nteeth_large = 20", "teeth_small"),
        ('lubrication = "honey"', "lubrication"),
        ('greatest_width = "0 mm"', "greatest_width"),
    ],
)
def test_drive_duty_tells_what_is_wrong(given: str, key: str) -> None:
    """Outside the standard's teeth, turned sprockets, other words: told with key and line."""
    (problem,) = problems(f"[line.drive]\n{DRIVE}{given}\n").values()
    assert problem.key == f"line.drive.{key}"
    assert problem.line == 11
    assert problem.accepted


@pytest.mark.parametrize(
    ("product", "size", "kept"),
    [
        ('product = "roller"\nstandard = "ISO 606"', '"16B-2"', "16B-2"),
        ('product = "jack"', "12", "12"),
    ],
)
def test_size_of_numbered_chain_is_a_name(product: str, size: str, kept: str) -> None:
    """Roller and jack chain are ordered by the number of the trade."""
    line = read(f'{product}\nsize = {size}\nlength = "2000 m"\n').lines[0]
    assert (line.size, line.size_mm) == (kept, None)


@pytest.mark.parametrize(
    "written",
    [
        "[line.settings]\ntemper.temperature_degC = 510\n",
        '[line.settings]\n"temper.temperature_degC" = 510\n',
        '[line.settings.temper]\ntemperature = "510 degC"\n',
        "settings = { temper = { temperature_degC = 510 } }\n",
    ],
)
def test_fixed_settings_by_operation(written: str) -> None:
    """However TOML nests them, settings are kept as operation.quantity_unit."""
    line = read(CHAIN + written).lines[0]
    assert dict(line.settings) == {"temper.temperature_degC": 510.0}
    assert dict(line.settings.under("temper")) == {"temperature_degC": 510.0}
    assert line.settings.under("temper").place("temperature_degC").startswith("order.toml:")


def test_numbers_know_their_line_while_recording() -> None:
    """The source names file, line, table and the key as it was written."""
    line = read(CHAIN + "[line.settings]\ntemper.temperature_degC = 510\n").lines[0]
    with recording() as book:
        size = line.size_mm
        temperature = line.settings.under("temper")["temperature_degC"]
    assert isinstance(size, Sourced)
    assert isinstance(temperature, Sourced)
    assert [entry.source for entry in book.entries.values()] == [
        "order.toml:8 [[line]] size",
        "order.toml:11 [line.settings] temper.temperature_degC",
    ]
    assert {entry.kind for entry in book.entries.values()} == {"file"}
    assert type(line.size_mm) is float


CASES: list[tuple[str, str, str, str]] = [
    # what replaces the line, key, words of the message, words of what is accepted
    ('size = "8,5 mm"', "line.size", "a decimal comma is not taken", "1 to 200 mm"),
    ("size = 8", "line.size", "8 is no text with a unit", 'size = "8 mm"'),
    ('size = "8"', "line.size", "carries no unit", "size_mm = 8"),
    ('size_mm = "8 mm"', "line.size_mm", "is not a number", 'size = "8 mm"'),
    ('size = "8 kN"', "line.size", "is not a length", "units: m, mm"),
    ('size = "0 mm"', "line.size", "'0 mm' is outside", "1 to 200 mm"),
    ('size = "-8 mm"', "line.size", "'-8 mm' is outside", "1 to 200 mm"),
    ("size_mm = -0.0", "line.size_mm", "outside", "1 to 200 mm"),
    ("size_mm = 8000", "line.size_mm", "8000 is outside", "1 to 200 mm"),
    ("size_mm = nan", "line.size_mm", "not a finite number", "1 to 200 mm"),
    ("size_mm = 1e400", "line.size_mm", "not a finite number", "1 to 200 mm"),
    ("size_mm = true", "line.size_mm", "true is not a number", "1 to 200 mm"),
    ("size_in = 0.315", "line.size_in", "has another unit", 'size_mm = 8.001 or size = "0.315 in"'),
    ('sise = "8 mm"', "line.sise", "nearest is size", "size_mm"),
]


@pytest.mark.parametrize(("written", "key", "words", "accepted"), CASES)
def test_wrong_size(written: str, key: str, words: str, accepted: str) -> None:
    """The problem names key, line, the value given and what would be accepted."""
    problem = problems(CHAIN.replace('size = "8 mm"', written))[key]
    assert problem.line == 8
    assert words in problem.message
    assert accepted in (problem.accepted or "")


def test_all_problems_are_told_at_once() -> None:
    """One reading finds what is wrong in every table of the file."""
    found = problems(
        CHAIN.replace("welded", "wleded").replace('"300 m"', '"0 m"'),
        'working_load = "2 ton"\nlegs = 9\nlength = "60 m"\n',
        f"[line.drive]\n{DRIVE.replace('moderate shocks', 'dusty')}ratio = 6.0\n",
        head=HEAD.replace("2026", "0001") + "colour = 1\n",
    )
    assert set(found) == {
        "order.due", "order.colour", "line.product", "line.length", "line.working_load",
        "line.legs", "line.drive.shock", "line.drive.ratio",
    }  # fmt: skip
    assert all(problem.file == "order.toml" and problem.line for problem in found.values())


@pytest.mark.parametrize(
    ("line", "key", "accepted"),
    [
        (CHAIN.replace("EN 818-2", "EN 818-22"), "line.standard", '"EN 818-2"'),
        (CHAIN.replace("EN 818-2", "ISO 606"), "line.standard", '"EN 818-2"'),
        (CHAIN.replace('standard = "EN 818-2"\n', ""), "line.standard", '"EN 818-2"'),
        (CHAIN + "grade = 9\n", "line.grade", "8"),
        (CHAIN.replace('size = "8 mm"\n', ""), "line.size_mm", 'size = "8 mm"'),
        (CHAIN + 'chain_type = "DAT"\n', "line.chain_type", "no chain_type"),
        (CHAIN + "legs = 1\n", "line.legs", "a chain without legs"),
        (CHAIN + 'working_load = "2 t"\n', "line.product", "one of: product"),
        ("", "line", "one of: product"),
        ('working_load = "2 t"\n', "line.length_m", 'length = "300 m"'),
        (
            f"[line.drive]\n{DRIVE.replace('driven_speed', 'ratio_x')}",
            "line.drive.driven_speed_rpm",
            "ratio = 6.0",
        ),
    ],
)
def test_keys_that_do_not_go_together(line: str, key: str, accepted: str) -> None:
    """A line is one named chain or one duty, with the keys of its kind."""
    assert accepted in (problems(line)[key].accepted or "")


@pytest.mark.parametrize(
    ("due", "words"),
    [
        ("1999-12-31", "outside"),
        ("2101-01-01", "outside"),
        ("9999-12-31", "outside"),
        ('"2026-12-18"', "cannot be used"),
        ("2026-12-18T08:00:00", "cannot be used"),
    ],
)
def test_wrong_date(due: str, words: str) -> None:
    """A date has no quotes and no time, and lies between 2000 and 2100."""
    problem = problems(CHAIN, head=HEAD.replace("2026-12-18", due))["order.due"]
    assert words in problem.message
    assert "2000-01-01 to 2100-12-31" in (problem.accepted or "")


def test_no_lines() -> None:
    """An order without lines is refused."""
    assert "[[line]]" in (problems()["line"].accepted or "")
    with pytest.raises(InputErrors, match="too few"):
        order_of_bytes(("line = []\n" + HEAD).encode())


def test_line_ids_are_the_numbers_unless_given_and_never_taken_twice() -> None:
    """Lines are found by id."""
    order = read(CHAIN, CHAIN + 'id = "drum"\n')
    assert [line.id for line in order.lines] == ["1", "drum"]
    assert order.line("drum").length_m == 300.0
    with pytest.raises(UnknownName, match="drum"):
        order.line("drun")
    assert "is taken" in problems(CHAIN + 'id = "a"\n', CHAIN + 'id = "a"\n')["line.id"].message


def test_hash_follows_the_content_only() -> None:
    """Spelling, order of keys and comments leave the hash, a number or a date moves it."""
    first = read(CHAIN).content_hash()
    rows = CHAIN.replace('size = "8 mm"', "size_mm = 8.0 # wire").splitlines()
    assert read("\n".join(reversed(rows)) + "\n").content_hash() == first
    for old, new in (("8 mm", "8.1 mm"), ("300", "301")):
        assert read(CHAIN.replace(old, new)).content_hash() != first
    assert read(CHAIN, head=HEAD.replace("18", "19")).content_hash() != first


def test_place_of_any_key() -> None:
    """Texts and dates have a place too; a key that is not given has that of its table."""
    order = read(CHAIN)
    assert order.place("due") == "order.toml:4"
    assert order.lines[0].place("standard") == "order.toml:7"
    assert order.lines[0].place("steel") == order.lines[0].place() == "order.toml:5"


def test_reading_does_not_depend_on_the_file_name() -> None:
    """Only the base name is kept, and it does not enter the hash."""
    other = order_of_bytes(demo_bytes("order.toml"), "other.toml")
    assert other.content_hash() == demo_order().content_hash()
    assert other.lines[0].place("size_mm").startswith("other.toml:")


def test_many_problems_are_cut_off_and_counted() -> None:
    """A hopeless file does not flood the terminal."""
    found = problems(CHAIN + "".join(f"k{i} = 1\n" for i in range(500)))
    assert len(found) == 101
    assert found[""].message == "400 more problems are not listed"


def test_work_on_plates_belongs_to_roller_chain() -> None:
    """It is a list of known work; welded chain has no plates."""
    roller = 'product = "roller"\nstandard = "ISO 606"\nsize = "16B"\nlength = "30 m"\n'
    line = read(roller + 'plate_work = ["shot peening"]\n').lines[0]
    assert line.plate_work == ("shot peening",)
    assert read(roller).lines[0].plate_work == ()
    assert "line.plate_work" in problems(CHAIN + 'plate_work = ["ball sizing"]\n')
    assert problems(roller + 'plate_work = ["polishing"]\n')


def test_pins_are_made_as_the_line_says() -> None:
    """One word of each pair, for roller chain and for the chain that a drive chooses."""
    roller = 'product = "roller"\nstandard = "ISO 606"\nsize = "16B"\nlength = "30 m"\n'
    line = read(roller + 'pin_work = ["shearing", "cotters"]\n').lines[0]
    assert line.pin_work == ("shearing", "cotters")
    assert read(roller).lines[0].pin_work == ()
    assert "line.pin_work" in problems(CHAIN + 'pin_work = ["cotters"]\n')
    for words in ('"sawing", "shearing"', '"rivets", "cotters"', '"end annealing", "cotters"'):
        found = problems(roller + f"pin_work = [{words}]\n")
        assert "exclude each other" in found["line.pin_work"].message
    assert problems(roller + 'pin_work = ["glue"]\n')


def test_drawings_beside_an_order_are_read_and_change_its_hash(tmp_path: Path) -> None:
    """Also where the file was read as bytes, with the folder that it lies in."""
    raw = b"""
[order]
number = "Q"
customer = "invented"
due = 2026-12-18
[[line]]
product = "roller"
standard = "ISO 606"
size = "16B"
length = "30 m"
drawings = "mine.toml"
"""
    hashes = set()
    for work in ("shearing", "sawing"):
        text = '[[drawing]]\nchain_number = "16B"\nsource = "invented"\npin_work = ["{}"]\n'
        (tmp_path / "mine.toml").write_text(text.format(work), encoding="utf-8")
        order = order_of_bytes(raw, "order.toml", tmp_path)
        drawings = order.lines[0].drawings
        assert drawings is not None
        assert drawings.pin_work("16B") == (work,)
        hashes.add(order.content_hash())
    assert len(hashes) == 2
    with pytest.raises(InputErrors, match="beside an order"):
        order_of_bytes(raw, "order.toml")
