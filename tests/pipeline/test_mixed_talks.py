"""Talks put together from pieces of others: a sound draft, the same bytes, documents of every kind."""

from __future__ import annotations

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from mixed_talks import FILES, Mixed, mixed
from soundness import faults
from typer.testing import CliRunner

import reports
from extract import lexicon, pipeline
from extract.cli import make_app
from extract.model import Draft
from extract.procedure.lists import combined, parts_list
from extract.procedure.writing_rules import check, passing
from reports.draft_json import dumps
from reports.select import only_variant

few = settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
#: All but PDF, which takes a second each and is set from the same page as HTML.
QUICK = ("html", "docx", "markdown", "csv", "xlsx", "dita", "docbook", "chapters", "captions", "json")


def said(*utterances: str) -> Mixed:
    return Mixed(tuple(tuple(text.split()) for text in utterances), (0.5,) * len(utterances))


@few
@given(talk=mixed(), times=st.booleans())
def test_a_talk_of_pieces_makes_a_sound_draft(talk, times):
    draft = pipeline.draft(talk.talk(times))
    assert [word for segment in draft.segments for word in segment.text.split()] == talk.words
    assert faults(draft) == []


@few
@given(talk=mixed())
def test_a_talk_of_pieces_gives_the_same_bytes_again(talk):
    first = pipeline.draft(talk.talk())
    assert dumps(first) == dumps(pipeline.draft(talk.talk()))
    assert reports.write_case_files(first) == reports.write_case_files(first)


@settings(few, max_examples=10)
@given(talk=mixed(20), chapters=st.sampled_from(("section", "step")))
def test_a_talk_of_pieces_is_published_listed_and_checked(talk, chapters):
    draft = pipeline.draft(talk.talk())
    assert all(reports.publish(draft, QUICK, chapters=chapters).values())
    good, count = passing(draft, check(draft, lexicon.load()))
    assert 0 <= good <= count
    assert len(parts_list(combined([draft, draft]))) >= len(parts_list(draft))
    for condition in [entry for entry in draft.conditions if entry.axis and entry.value][:1]:
        variant = ((condition.axis, condition.value),)
        assert faults(only_variant(draft, variant)) == []
        assert all(reports.publish(draft, ["html", "csv"], only=variant).values())


@settings(few, max_examples=15)
@given(
    talks=st.lists(mixed(12), min_size=1, max_size=2),
    suffix=st.sampled_from(sorted(FILES)),
    cut=st.one_of(st.none(), st.integers(0, 3000)),
)
def test_files_of_every_format_whole_or_cut_off_make_a_case_or_say_what_is_wrong(talks, suffix, cut, tmp_path_factory):
    folder = tmp_path_factory.mktemp("mixed")
    files = [folder / f"film{number}.{suffix}" for number in range(len(talks))]
    for file, talk in zip(files, talks, strict=True):
        file.write_text(FILES[suffix](talk)[:cut], encoding="utf-8")
    join = ["--join"] if len(files) > 1 else []
    result = CliRunner().invoke(make_app(), ["draft", *map(str, files), "-o", str(folder / "cases"), *join])
    assert result.exit_code in (0, 2), result.output
    for case in (folder / "cases").glob("*/draft.json"):
        assert faults(Draft.model_validate_json(case.read_bytes())) == []
        for command in (["points", case.parent], ["parts", case.parent], ["publish", case.parent, "--as", "html,csv"]):
            assert CliRunner().invoke(make_app(), [str(word) for word in command]).exit_code == 0


def test_what_is_only_put_back_is_the_same_as_no_earlier_part():
    draft = pipeline.draft(
        said("Take the cover off.", "Now putting it back.", "Fit the spacer with its flat side up.").talk()
    )
    assert faults(draft) == []
