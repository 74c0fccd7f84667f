import datetime as dt

import pytest

from pinfeather.errors import InputFaultsError
from pinfeather.mapping import MappingReader
from pinfeather.units import to_si


def problems(read):
    return {fault.name: fault.problem for fault in read.faults}


# --- names that mean nothing


def test_a_misspelt_name_is_refused_with_the_one_that_is_meant():
    top = MappingReader({"lots": [{"meen": "4 lb", "count": 3}]})
    for lot in top.tables("lots"):
        lot.integer("count", low=1, high=9)
        lot.text("mean", default="")
    top.refuse_unknown()
    assert problems(top) == {"lots[0].meen": "“meen” is not known here. Is “mean” meant?"}


def test_a_whole_table_nobody_reads_is_refused_and_what_may_stand_there_is_not():
    top = MappingReader({"weather": {"wind": "3"}, "note": "x"})
    top.may_have("note")
    top.refuse_unknown()
    assert list(problems(top)) == ["weather"]


def test_a_level_read_twice_knows_the_names_of_both():
    top = MappingReader({"a": {"b": "1", "c": "2"}})
    top.table("a").text("b")
    top.table("a").text("c")
    top.refuse_unknown()
    assert problems(top) == {}


# --- levels, paths and gathering


def test_a_fault_deep_down_is_named_by_its_whole_path():
    top = MappingReader({"lots": [{"mean": "4 lb"}, {"mean": "4"}]})
    for lot in top.tables("lots"):
        lot.quantity("mean", "mass", low=0, high=9)
    assert [fault.name for fault in top.faults] == ["lots[1].mean"]


def test_each_level_sees_its_own_faults_and_the_top_sees_all():
    top = MappingReader({"a": {"b": {}}, "ab": {}})
    deep = top.table("a").table("b")
    deep.fault("c", 1, "No.")
    assert len(deep.faults) == len(top.table("a").faults) == len(top.faults) == 1
    assert top.table("ab").faults == []
    assert top.faults_under("a")
    assert not top.faults_under("x")


def test_all_faults_are_raised_at_once_and_none_raises_nothing():
    read = MappingReader({})
    read.raise_faults()
    read.fault("a", 1, "No.")
    read.fault("b", 2, "No.")
    with pytest.raises(InputFaultsError) as caught:
        read.raise_faults()
    assert [fault.name for fault in caught.value.faults] == ["a", "b"]


def test_what_is_not_a_table_reads_as_an_empty_one_with_a_fault():
    read = MappingReader({"a": 5})
    assert read.table("a").raw("b") is None
    assert "table of names" in problems(read)["a"]


def test_an_absent_table_is_empty_without_a_fault():
    read = MappingReader({})
    assert not read.table("a").has("b")
    assert list(read.tables("lots")) == []
    assert read.faults == []


@pytest.mark.parametrize("value", ["text", 5, {"a": 1}], ids=repr)
def test_what_is_not_a_list_of_tables_is_a_fault(value):
    read = MappingReader({"lots": value})
    assert list(read.tables("lots")) == []
    assert "list of tables" in problems(read)["lots"]


def test_an_entry_that_is_not_a_table_is_named_by_its_place():
    read = MappingReader({"lots": [{"code": "A"}, "B"]})
    assert len(list(read.tables("lots"))) == 1
    assert "must be a table" in problems(read)["lots[1]"]


@pytest.mark.parametrize(
    ("value", "there"),
    [("x", True), (0, True), (0.0, True), ("", False), (None, False), ([], False), ([0], True)],
    ids=repr,
)
def test_a_zero_counts_as_written_and_an_empty_text_does_not(value, there):
    assert MappingReader({"a": value}).has("a") is there


# --- text, choices and words


def test_text_is_trimmed():
    assert MappingReader({"name": " Odile "}).text("name") == "Odile"


@pytest.mark.parametrize("value", ["", "   ", "\n", None], ids=repr)
def test_an_empty_text_is_a_fault_unless_it_has_a_default(value):
    read = MappingReader({"name": value})
    assert read.text("name", default="x") == "x"
    assert read.faults == []
    assert read.text("name") is None
    assert problems(read)["name"] == "Write something here."


@pytest.mark.parametrize("value", [5, ["a"], {"a": 1}, True], ids=repr)
def test_what_is_not_text_is_a_fault(value):
    read = MappingReader({"name": value})
    assert read.text("name") is None
    assert "must be text" in problems(read)["name"]


@pytest.mark.parametrize("value", ["x" * 81, "a\nb", "a\x00b", "a\tb"], ids=repr)
def test_long_text_and_control_characters_are_faults(value):
    read = MappingReader({"name": value})
    read.text("name")
    assert "at most 80 ordinary characters" in problems(read)["name"]


def test_a_choice_is_one_of_the_words_or_its_default():
    read = MappingReader({"a": "still", "b": ""})
    assert read.choice("a", ("still", "stirred"), default="stirred") == "still"
    assert read.choice("b", ("still", "stirred"), default="stirred") == "stirred"
    assert read.faults == []


@pytest.mark.parametrize("value", ["boiling", 5, ["still"]], ids=repr)
def test_another_choice_is_refused_with_the_known_ones(value):
    read = MappingReader({"a": value})
    assert read.choice("a", ("still", "stirred"), default="still") == "still"
    assert "still, stirred" in problems(read)["a"]


@pytest.mark.parametrize(
    "value", [["kill", "pick"], "kill, pick", "kill pick", ("kill", "pick")], ids=repr
)
def test_words_come_as_a_list_or_as_text_with_commas_or_spaces(value):
    assert MappingReader({"a": value}).words("a", ("kill", "pick")) == ["kill", "pick"]


@pytest.mark.parametrize("value", ["", [], None, 5], ids=repr)
def test_no_words_at_all_is_a_fault(value):
    read = MappingReader({"a": value})
    assert read.words("a", ("kill", "pick")) == []
    assert "at least one" in problems(read)["a"]


def test_an_unknown_word_is_a_fault_that_shows_it():
    read = MappingReader({"a": ["kill", "dance"]})
    read.words("a", ("kill", "pick"))
    assert "“dance”" in problems(read)["a"]


# --- numbers


@pytest.mark.parametrize("value", [7, "7", " 7 "], ids=repr)
def test_a_whole_number_comes_as_number_or_text(value):
    assert MappingReader({"n": value}).integer("n", low=1, high=9) == 7


@pytest.mark.parametrize("value", ["7.5", 7.5, "seven", True, [7], "1e3", "9" * 5000], ids=repr)
def test_what_is_no_whole_number_is_a_fault(value):
    read = MappingReader({"n": value})
    assert read.integer("n", low=1, high=9) is None
    assert "not a whole number" in problems(read)["n"]


@pytest.mark.parametrize("value", [0, 10, "-1", 10**12], ids=repr)
def test_a_whole_number_outside_its_bounds_is_a_fault_and_not_used(value):
    read = MappingReader({"n": value})
    assert read.integer("n", low=1, high=9, default=3) == 3
    assert "between 1 and 9" in problems(read)["n"]


def test_an_absent_whole_number_takes_its_default_or_is_a_fault():
    read = MappingReader({})
    assert read.integer("n", low=1, high=9, default=3) == 3
    assert read.integer("n", low=1, high=9) is None
    assert "whole number here" in problems(read)["n"]


@pytest.mark.parametrize(
    ("value", "number"), [(0.8, 0.8), ("0.8", 0.8), (1, 1.0), (None, 1.5)], ids=repr
)
def test_a_plain_number_comes_as_number_or_text_or_default(value, number):
    assert MappingReader({"x": value}).number("x", low=0.2, high=3, default=1.5) == number


@pytest.mark.parametrize("value", ["fast", True, [1], "1,5"], ids=repr)
def test_what_is_no_number_is_a_fault(value):
    read = MappingReader({"x": value})
    assert read.number("x", low=0.2, high=3, default=1.5) == 1.5
    assert "not a number" in problems(read)["x"]


@pytest.mark.parametrize("value", ["nan", "inf", "-inf", 0.1, 3.1, float("nan")], ids=repr)
def test_a_number_outside_its_bounds_is_a_fault_and_not_used(value):
    read = MappingReader({"x": value})
    assert read.number("x", low=0.2, high=3, default=1.5) == 1.5
    assert "between 0.2 and 3" in problems(read)["x"]


# --- quantities


def test_a_quantity_is_read_in_si_and_its_default_too():
    read = MappingReader({"a": "40 F"})
    assert read.quantity("a", "temperature", low=0, high=9) == to_si(40, "F", "temperature")
    assert read.quantity("b", "length", low=0, high=9, default="1 ft") == 0.3048
    assert read.faults == []


def test_an_absent_quantity_asks_for_one_with_its_unit():
    read = MappingReader({})
    assert read.quantity("a", "mass", low=0, high=9) == 0.0
    assert problems(read)["a"] == "Write a mass here, with its unit."


@pytest.mark.parametrize("value", [5, 5.0, True, ["5 lb"]], ids=repr)
def test_a_quantity_that_is_not_text_has_no_unit(value):
    read = MappingReader({"a": value})
    assert read.quantity("a", "mass", low=0, high=9) == 0.0
    assert "no unit" in problems(read)["a"]


def test_a_quantity_outside_its_bounds_shows_the_bounds_in_the_unit_written():
    read = MappingReader({"a": "90 lb"})
    read.quantity("a", "mass", low=0.1, high=25)
    assert "between 0.22\u202flb and 55.1\u202flb" in problems(read)["a"]


def test_an_optional_quantity_may_be_left_out_but_not_be_wrong():
    read = MappingReader({"a": "40 F", "b": "40"})
    assert read.optional_quantity("none", "temperature", low=0, high=9) is None
    assert read.optional_quantity("a", "temperature", low=0, high=9) == pytest.approx(40 / 9)
    read.optional_quantity("b", "temperature", low=0, high=9)
    assert list(problems(read)) == ["b"]


@pytest.mark.parametrize(
    "value", [["1 kg", "2 kg"], "1 kg; 2 kg", "1 kg\n2 kg\n", "1 kg;;2 kg;"], ids=repr
)
def test_quantities_come_as_a_list_or_with_semicolons_or_lines_between(value):
    assert MappingReader({"w": value}).quantities("w", "mass", low=0, high=9) == [1.0, 2.0]


def test_one_wrong_weight_among_many_is_a_fault():
    read = MappingReader({"w": "1 kg; 2; 3 kg"})
    read.quantities("w", "mass", low=0, high=9)
    assert len(read.faults) == 1
    assert read.faults_under("w")


def test_quantities_that_are_no_list_are_a_fault():
    read = MappingReader({"w": 5})
    assert read.quantities("w", "mass", low=0, high=9) == []
    assert "list of quantities" in problems(read)["w"]


# --- dates, times and spans


@pytest.mark.parametrize(
    "value",
    [
        "2026-09-19",
        " 2026-09-19 ",
        dt.date(2026, 9, 19),
        dt.datetime(2026, 9, 19, 8, tzinfo=dt.UTC),
    ],
    ids=repr,
)
def test_a_date_comes_as_text_or_as_a_date(value):
    assert MappingReader({"d": value}).date("d") == dt.date(2026, 9, 19)


@pytest.mark.parametrize("value", ["19/9/2026", "2026-02-30", 5, "tomorrow"], ids=repr)
def test_what_is_no_date_is_a_fault(value):
    read = MappingReader({"d": value})
    assert read.date("d") is None
    assert "2026-09-12" in problems(read)["d"]


def test_a_date_may_be_left_out_only_where_it_is_not_needed():
    read = MappingReader({})
    assert read.date("d", required=False) is None
    assert read.faults == []
    assert read.date("d") is None
    assert "Write a date" in problems(read)["d"]


@pytest.mark.parametrize("value", ["08:30", "8:30", "08:30:00", dt.time(8, 30)], ids=repr)
def test_a_time_comes_as_text_or_as_a_time(value):
    assert MappingReader({"t": value}).time("t") == dt.time(8, 30)


@pytest.mark.parametrize(
    "value", ["25:00", "8", "noon", 830, "8.30", "0830", "8:3", "08:30Z", "08:60"], ids=repr
)
def test_what_is_no_time_is_a_fault(value):
    read = MappingReader({"t": value})
    assert read.time("t") is None
    assert "09:00" in problems(read)["t"]


def test_a_time_may_be_left_out_only_where_it_is_not_needed():
    read = MappingReader({})
    assert read.time("t", required=False) is None
    assert read.faults == []
    assert read.time("t") is None
    assert "Write a time" in problems(read)["t"]


@pytest.mark.parametrize(
    "value",
    [["10:00-10:15", "12:00-12:30"], "10:00-10:15, 12:00–12:30", "10:00 - 10:15,12:00-12:30,"],
    ids=repr,
)
def test_spans_come_as_a_list_or_with_commas(value):
    found = MappingReader({"b": value}).spans("b")
    assert found == [(dt.time(10), dt.time(10, 15)), (dt.time(12), dt.time(12, 30))]


@pytest.mark.parametrize(
    "value",
    [
        "12:30-12:00",
        "12:00-12:00",
        "12:00",
        "12:00-12:30-13:00",
        "lunch",
        5,
        ["a-b"],
        "09:00Z-10:00",
        {"a": "b"},
    ],
    ids=repr,
)
def test_what_is_no_span_is_a_fault(value):
    read = MappingReader({"b": value})
    assert read.spans("b") == []
    assert "span like 12:00-12:30" in problems(read)["b"]


def test_no_spans_are_no_fault():
    read = MappingReader({"b": ""})
    assert read.spans("b") == []
    assert read.spans("none") == []
    assert read.faults == []
