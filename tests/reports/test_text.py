from __future__ import annotations

import pytest

from extract.model import Stage, Torque, TorqueCheck
from reports.text import (
    clean,
    date_words,
    harmless,
    number,
    number_runs,
    sentence,
    shortened,
    slug,
    spell,
    time_code,
    torque_value,
)


@pytest.mark.parametrize(
    ("seconds", "code"), [(None, ""), (0.0, "0:00"), (9.99, "0:09"), (61.0, "1:01"), (3725.4, "1:02:05")]
)
def test_time_codes(seconds: float | None, code: str) -> None:
    assert time_code(seconds) == code


@pytest.mark.parametrize(
    ("labels", "words"),
    [
        (["4"], "4"),
        (["5", "4"], "4 and 5"),
        (["4", "5", "6", "6"], "4 to 6"),
        (["1", "4", "5", "6", "R1"], "1, 4 to 6 and R1"),
        (["7", "R1", "R2"], "7, R1 and R2"),
        ([], ""),
    ],
)
def test_runs_of_step_numbers(labels: list[str], words: str) -> None:
    order = [str(n) for n in range(1, 8)] + [f"R{n}" for n in range(1, 5)]
    assert number_runs(labels, order) == words


def torque(*stages: Stage, value_nm: float | None = None) -> Torque:
    check = TorqueCheck(status="not_checked")
    return Torque(id="t", joint="nut", stages=stages, value_nm=value_nm, segments=(), check=check, because=())


def test_tightening_values() -> None:
    assert torque_value(torque(Stage(value_nm=20.0), Stage(angle_deg=90.0), Stage(angle_deg=90.0))) == (
        "20 N·m, then 90°, then 90°"
    )
    assert torque_value(torque(Stage(low_nm=45.0, high_nm=50.0))) == "45 to 50 N·m"
    assert torque_value(torque()) == ""


@pytest.mark.parametrize(("nm", "pounds"), [(40.0, "29.5"), (1.3558179483314, "1"), (271.16358966628, "200")])
def test_us_documents_show_pound_feet_too(nm: float, pounds: str) -> None:
    # NIST SP 811, appendix B.8: 1 lbf·ft = 1.355818 N·m
    assert torque_value(torque(Stage(value_nm=nm)), "us").endswith(f" N·m ({pounds} lb-ft)")


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("remove the bolt", "Remove the bolt."),
        ("Is it tight?", "Is it tight?"),
        ("", ""),
        ("pH strips are used", "pH strips are used."),
        ("  two \n lines ", "Two lines."),
    ],
)
def test_sentences(text: str, written: str) -> None:
    assert sentence(text) == written


def test_us_spelling_of_fixed_words() -> None:
    assert spell("Two litres, the tyres and a grey Centre", "us") == "Two liters, the tires and a gray Center"
    assert spell("Two litres", "uk") == "Two litres"
    assert spell("greyhound", "us") == "greyhound"


@pytest.mark.parametrize(
    ("uk", "us"),
    [  # spellings: any general dictionary of British and American English, from memory
        ("Put coloured tape on.", "Put colored tape on."),
        ("a fifty-five millimetre socket", "a fifty-five millimeter socket"),
        ("Prise the fibre washers off.", "Pry the fiber washers off."),
        ("It was prised out and centred.", "It was pried out and centered."),
        ("Clamp it in the vice.", "Clamp it in the vise."),
        ("and vice versa", "and vice versa"),
        ("Ask for advice on the device.", "Ask for advice on the device."),
        ("The system is pressurised.", "The system is pressurized."),
    ],
)
def test_us_spelling_of_inflected_words(uk: str, us: str) -> None:
    assert spell(uk, "us") == us
    assert spell(uk, None) == uk


def test_cleaned_text_is_one_line_without_odd_characters() -> None:
    assert clean("a\x00b\n\tc \u202ed\u202c\ufffe") == "ab c d"
    assert clean(None) == ""


def test_names_for_files_and_ids() -> None:
    assert slug("Gearbox: automated (6-speed)") == "gearbox-automated-6-speed"
    assert slug("Größe/été") == "groe-ete"
    assert slug("…") == "x"


def test_numbers_and_short_titles() -> None:
    assert [number(v) for v in (25.0, 4.5, 0.05, 149.1)] == ["25", "4.5", "0.05", "149.1"]
    assert shortened("one two three four", 9) == "one two …"
    assert shortened("short") == "short"


@pytest.mark.parametrize("text", ["=1+1", "+cmd", "-2", "@SUM(A1)", " =1", "\t=1", "\tcmd", "＝1"])
def test_a_formula_is_made_harmless(text: str) -> None:
    assert harmless(text) == "'" + text


@pytest.mark.parametrize("text", ["", "bolt", "M8", "3/8-24", "'tis"])
def test_other_text_stays(text: str) -> None:
    assert harmless(text) == text


@pytest.mark.parametrize(
    ("stamp", "english", "words"),
    [
        ("2026-11-05T09:52:51Z", "uk", "5 November 2026, 09:52 UTC"),
        ("2026-11-05T09:52:51.120Z", "us", "November 5, 2026, 09:52 UTC"),
        ("2026-13-05T09:52:51Z", None, "2026-13-05T09:52:51Z"),
        ("last week", None, "last week"),
    ],
)
def test_time_stamps_are_written_as_people_write_them(stamp: str, english: str | None, words: str) -> None:
    assert date_words(stamp, english) == words
