"""The title of a job, from the noun phrases of the heading that announces it."""

import pytest

import extract


@pytest.mark.parametrize(
    ("opening", "title"),
    [
        ("This one's the brake on the number four hoist.", "Brake on the number four hoist"),
        ("Today we're changing the rollers of this sixty ton press.", "Rollers of the sixty ton press"),
        ("We're going to swap the damper assembly, damper for short, in a warehouse door.", "Damper assembly"),
        (
            "Good day all. Today we change the clutch linings of the winch.",
            "Clutch linings of the winch",
        ),
        ("In this film the brake pads of a slewing drive are exchanged.", "Brake pads of a slewing drive"),
        ("Morning, we're having a go at the anchor windlass on a ketch.", "Anchor windlass on a ketch"),
        ("Hi everyone, this is how we change the inlet hose on the steriliser.", "Inlet hose on the steriliser"),
        ("Right, shutter unit on an old film camera.", "Shutter unit"),
    ],
)
def test_title_names_the_parts_and_where_they_belong(tmp_path, opening, title):
    talk = tmp_path / "talk.txt"
    talk.write_text(f"{opening} Undo the four bolts and take the cover off. The rest is the reverse.\n")
    assert extract.draft(talk).title == f"{title}: removal and refit"


def test_the_heading_of_the_refit_is_no_title(tmp_path):
    talk = tmp_path / "talk.txt"
    talk.write_text("Right, putting it back together. Fit the cover and do up the four bolts.\n")
    assert extract.draft(talk).title is None
