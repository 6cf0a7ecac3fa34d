"""What vetting finds, as a page: remarks, then the problems with their drawings; or the faults of a file that is none yet."""

from collections.abc import Mapping, Sequence

from grader.problem import Rubric
from grader.reports.pages import page
from grader.reports.paper import paper
from grader.rubric.soundness import Remark


def vetted_html(rubric: Rubric, sections: Mapping[str, Sequence[Remark]], summary: str) -> str:
    """The page of a rubric that can be read, its remarks by heading."""
    told = {title: [str(remark) for remark in some] for title, some in sections.items()}
    return page("vet.html", title=rubric.title, summary=summary, sections=told, problems=paper(rubric).problems)


def faults_html(name: str, faults: Sequence[str]) -> str:
    """The page of a rubric that cannot be read yet, or has no answers: why."""
    return page("vet.html", title=name, summary="", sections={"To mend:": faults}, problems=())
