"""Each rule with texts that keep to it and texts that do not. The rules' sources stand in the module."""

from __future__ import annotations

import pytest

from extract import lexicon
from extract.lexicon import Lexicon
from extract.model import Because, Caution, Condition, Draft, Note, Part, RefitStep, Source, Step
from extract.procedure.writing_rules import RULES, Point, check, passing

WHY = (Because(segment=None, span=None, rule="test"),)


@pytest.fixture(scope="module")
def words() -> Lexicon:
    return lexicon.load()


def draft(**entries: object) -> Draft:
    source = Source(name="t", format="plain", sha256="0" * 64, duration_s=None, language="en", times="none")
    return Draft(made_by="test", title=None, source=source, segments=(), **entries)


def step(text: str, action: str = "remove", *parts: Part, notes: tuple[Note, ...] = (), number: int = 1) -> Step:
    return Step(
        id=f"s{number}",
        number=number,
        section=None,
        action=action,
        spoken_action=action,
        objects=parts,
        text=text,
        start_s=None,
        end_s=None,
        segments=(),
        confidence=1.0,
        notes=notes,
        because=WHY,
    )


def part(text: str, id: str = "p1", same_as: str | None = None) -> Part:
    return Part(id=id, text=text, same_as=same_as)


def refit_step(text: str) -> RefitStep:
    return RefitStep(id="r1", number=1, origin="derived", action="fit", objects=(), text=text, because=WHY)


def caution(text: str, **more: object) -> Caution:
    given = {"signal_word": "WARNING", "steps": ("s1",)} | more
    return Caution(id="w1", hazard="heat", text=text, origin="spoken", segments=(), because=WHY, **given)


def found(document: Draft, words: Lexicon) -> set[str]:
    return {point.rule.id for point in check(document, words)}


LONG = "Remove the bolt " + "and the small bracket " * 5 + "from the frame of the machine."


@pytest.mark.parametrize(
    ("rule", "text"),
    [
        ("sentence-length", LONG),
        ("one-instruction", "Remove the bolt and lift off the cover."),
        ("one-instruction", "Undo the union, then drain the oil."),
        ("one-instruction", "Remove the bolt. Lift the cover."),
        ("imperative", "The bolt is the next one."),
        ("condition-first", "Renew the shaft if it is scored."),
        ("condition-first", "If the shaft is scored renew the shaft."),
        ("noun-cluster", "Remove the engine oil pressure sensor cable."),
        ("article", "Remove bolt."),
        ("contraction", "If it doesn't move, remove the pin."),
        ("contraction", "If the guard's cracked, renew the guard."),
        ("phrasal-verb", "Whip out the bolt."),
        ("ing-form", "Open the box by turning the screws."),
        ("active-voice", "The bolt was removed by the fitter."),
    ],
)
def test_a_text_that_does_not_keep_to_the_rule(words: Lexicon, rule: str, text: str) -> None:
    objects = (part("bolt"),) if "bolt" in text else ()
    assert rule in found(draft(steps=(step(text, "remove", *objects),)), words)


@pytest.mark.parametrize(
    ("action", "text", "objects"),
    [
        ("remove", "Remove the two bolts.", ("bolts",)),
        ("remove", "Remove and discard the seal.", ("seal",)),
        ("renew", "If the shaft is scored, renew the shaft.", ("shaft",)),
        ("remove", "Remove the bearing housing.", ("bearing housing",)),
        ("remove", "Remove the engine oil pressure sensor cable.", ("engine oil pressure sensor cable",)),
        ("drain", "Drain the oil into a tray.", ("oil",)),
        ("turn", "Turn the crank until the marks line up.", ("crank",)),
        ("tighten", "Tighten the two bolts to 25 N·m, then by 90°.", ("bolts",)),
        ("remove", "Remove the bolt and the washer.", ("bolt", "washer")),
        ("turn", "Do not turn the shaft.", ("shaft",)),
    ],
)
def test_a_text_that_keeps_to_every_rule(words: Lexicon, action: str, text: str, objects: tuple[str, ...]) -> None:
    parts = tuple(part(name, f"p{number}") for number, name in enumerate(objects))
    assert found(draft(steps=(step(text, action, *parts),)), words) == set()


def test_how_tight_belongs_to_the_refit_act(words: Lexicon) -> None:
    assert found(draft(refit=(refit_step("Fit the two bolts. Tighten them to 25 N·m."),)), words) == set()
    assert found(draft(refit=(refit_step("Fit the two bolts. Fill the gearbox."),)), words) == {"one-instruction"}


@pytest.mark.parametrize(
    ("rule", "text", "more"),
    [
        ("warning-start", "The coolant is hot and can burn you.", {}),
        ("warning-risk", "Keep clear of the spring.", {}),
        ("warning-place", "Keep clear of the spring. It can injure you.", {"steps": ()}),
    ],
)
def test_a_warning_that_does_not_keep_to_the_rule(words: Lexicon, rule: str, text: str, more: dict) -> None:
    assert found(draft(cautions=(caution(text, **more),)), words) == {rule}


@pytest.mark.parametrize(
    ("text", "more"),
    [
        ("Keep clear of the spring. It can fly out and injure you.", {}),
        ("If the engine is hot, do not open the cap. Steam can scald you.", {}),
        ("Handle the disc with care.", {"signal_word": "NOTICE"}),
    ],
)
def test_a_warning_that_keeps_to_every_rule(words: Lexicon, text: str, more: dict) -> None:
    assert found(draft(cautions=(caution(text, **more),)), words) == set()


def test_a_limit_does_not_stand_in_an_explanation(words: Lexicon) -> None:
    def noted(kind: str, text: str) -> Draft:
        return draft(steps=(step("Remove the bolts.", notes=(Note(id="n1", kind=kind, text=text),)),))

    assert found(noted("reason", "The gap is 0.2 mm there."), words) == {"limit-in-note"}
    assert found(noted("reason", "The gap lets oil through."), words) == set()
    assert found(noted("check", "Look for " + "a crack in the plate or " * 5 + "a worn edge."), words) == {
        "note-length"
    }


def test_one_part_has_one_name(words: Lexicon) -> None:
    def named(second: str) -> Draft:
        first = step("Remove the timing cover.", "remove", part("timing cover", "p1"))
        again = step(f"Clean the {second}.", "clean", part(second, "p2", same_as="p1"), number=2)
        return draft(steps=(first, again))

    assert found(named("lid"), words) == {"one-name"}
    assert found(named("timing cover"), words) == set()
    assert found(named("cover"), words) == set()  # the short form of the same name


def test_a_branch_gives_both_outcomes(words: Lexicon) -> None:
    def condition(id: str, value: str) -> Condition:
        return Condition(
            id=id, kind="variant", axis="gearbox", value=value, text=f"on the {value}", steps=("s1",), ends="else",
            segments=(), because=WHY,
        )  # fmt: skip

    assert found(draft(conditions=(condition("c1", "manual"),)), words) == {"branch"}
    assert found(draft(conditions=(condition("c1", "manual"), condition("c2", "automatic"))), words) == set()


def test_what_passes_is_counted(words: Lexicon) -> None:
    good = step("Remove the two bolts.", "remove", part("bolts"))
    bad = step("Remove the bolt and lift off the cover.", number=2)
    document = draft(steps=(good, bad))
    points = check(document, words)
    assert passing(document, points) == (1, 2)
    assert all(isinstance(point, Point) and point.place == "step 2" for point in points)


def test_every_rule_names_its_source() -> None:
    assert len({rule.id for rule in RULES}) == len(RULES)
    assert all(rule.source and rule.asks.endswith(".") for rule in RULES)
