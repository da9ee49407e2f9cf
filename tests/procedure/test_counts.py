import pytest

from extract.procedure.counts import counted


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("All nine bolts get one drop of locking fluid.", [(9, ("bolt",))]),
        ("Both of the guide bolts are new.", [(2, ("guide", "bolt"))]),
        ("Fit 4 new clamps.", [(4, ("clamp",))]),
        ("One bolt is longer.", []),
        ("It takes ten newton metres.", [(10, ("newton", "metre"))]),
        ("In twenty twenty four.", []),
    ],
)
def test_counted_plurals(text, found):
    assert [(count, name) for count, name, _, _ in counted(text)] == found


def test_offsets_hold_count_and_noun():
    text = "There, all nine bolts go in."
    _, _, start, end = counted(text)[0]
    assert text[start:end] == "nine bolts"
