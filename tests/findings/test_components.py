"""The stages as spaCy components, loaded by name through their entry points."""

from __future__ import annotations

import spacy

TALK = "Undo the two bolts and lift the cover off. The gasket must be new. The bolts are ten newton metres."


def test_components_load_by_name_and_fill_span_groups():
    nlp = spacy.blank("en")
    nlp.add_pipe("benchtalk_utterances")
    nlp.add_pipe("benchtalk_findings")
    doc = nlp(TALK)
    assert [span.text for span in doc.spans["benchtalk.utterances"]] == [
        "Undo the two bolts and lift the cover off.",
        "The gasket must be new.",
        "The bolts are ten newton metres.",
    ]
    assert [span.label_ for span in doc.spans["benchtalk.utterances"]] == ["instruction", "refit_note", "torque_note"]
    assert len(doc.spans["benchtalk.acts"]) == 2
    assert [span.label_ for span in doc.spans["benchtalk.renewals"]] == ["gasket"]
    assert doc.ents == ()


def test_components_take_any_white_space():
    nlp = spacy.blank("en")
    nlp.add_pipe("benchtalk_utterances")
    doc = nlp("  Undo the bolt.\n\nLift  the cover off. ")
    assert [span.text for span in doc.spans["benchtalk.utterances"]] == ["Undo the bolt.", "Lift  the cover off."]
