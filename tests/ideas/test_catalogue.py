"""Every mistake belongs to one idea or is a slip, and every idea says what a teacher needs."""

import re

import pytest

from grader.ideas.catalogue import facets, idea_of, ideas, slips
from grader.mistakes.catalogue import catalogue


def test_every_mistake_shows_one_idea_or_is_a_slip():
    grouped = [mistake for facet in facets() for mistake in facet.mistakes]
    assert sorted([*grouped, *slips()]) == sorted(catalogue())


def test_slips_show_no_idea():
    assert {idea_of(slip) for slip in slips()} == {None}
    assert idea_of("rest-assumed") == "starts-empty"


@pytest.mark.parametrize("idea", ideas().values(), ids=lambda idea: idea.id)
def test_an_idea_speaks_in_whole_sentences(idea):
    assert re.fullmatch(r"[a-z]+(-[a-z]+)*", idea.id)
    assert [text[-1] for text in (idea.belief, idea.say, idea.ask, idea.nudge)] == [".", ".", "?", "?"]
    assert len(re.findall(r"[.!?](?: |$)", idea.say)) == 2, idea.say
