"""Sizes told in, before or behind the name of a joint, written or as they are said."""

from __future__ import annotations

import pytest

from extract.findings.joints import thread_size


@pytest.mark.parametrize(
    ("text", "joint", "size"),
    [
        ("The M10 flange nuts get 40 newton metres.", "flange nuts", "M10"),
        ("the m twelve flange nuts get forty", "flange nuts", "M12"),
        ("the flange nuts are m sixteen so they get more", "flange nuts", "M16"),
        ("flange nuts they're m8 and they get twenty", "flange nuts", "M8"),
        ("the flange nuts, these are M20.", "flange nuts", "M20"),
        ("the m twenty four flange nuts", "flange nuts", "M24"),
        ("I'm ten minutes late, the flange nuts get forty.", "flange nuts", None),
        ("The flange nuts are tight at 40, the M6 screw at nine.", "flange nuts", None),
    ],
)
def test_the_size_of_a_joint_is_told_before_or_behind_its_name(text, joint, size):
    first = text.index(joint)
    assert thread_size(text, first, first + len(joint)) == size
