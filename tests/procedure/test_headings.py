import pytest

from extract.procedure.headings import heading_title, job_title, opens_refit


@pytest.mark.parametrize(
    ("said", "title"),
    [
        (
            "Right, good morning everybody, today we're doing the gearbox mount on the loader.",
            "Gearbox mount on the loader",
        ),
        ("In this film the impeller of the bilge pump is replaced.", "Impeller of the bilge pump"),
        ("so now for the tension arm", "Tension arm"),
        ("Next up is the rear bearing.", "Rear bearing"),
        ("We move on to the chain.", "Chain"),
        ("This video shows how the door seal is renewed", "Door seal"),
        ("okay the next job to tackle is the drive belt", "Drive belt"),
        ("We're taking the alternator off the tractor.", "Alternator"),
    ],
)
def test_heading_is_the_noun_phrase_without_run_up(said, title):
    assert heading_title(said) == title


@pytest.mark.parametrize(
    "said",
    [
        "Right, building her back together.",
        "Now a couple of tips for the rebuild.",
        "On to reassembly.",
        "Right, back together with her.",
        "Now the assembly.",
    ],
)
def test_headings_that_open_the_refit(said):
    assert opens_refit(said) and heading_title(said) == "Refit"


@pytest.mark.parametrize(
    "said",
    [
        "Let's open the gear case up.",
        "Now the back cover.",
        "Next the fitting on the pump.",
        "Now the blower assembly.",
    ],
)
def test_headings_of_the_removal_do_not_open_the_refit(said):
    assert not opens_refit(said)


def test_job_title_names_both_halves_only_if_there_are_two():
    assert job_title("Bilge pump", True) == "Bilge pump: removal and refit"
    assert job_title("Bilge pump", False) == "Bilge pump: work"
