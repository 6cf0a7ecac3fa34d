"""Answers outside the canonical form: what general algebra shows, what it does not, and its bounds."""

import os
import pickle
import pickletools
import signal
import subprocess
import sys

import pytest

from grader.jobs.helper import Overran
from grader.reading import algebra
from grader.reading.algebra import waveform_by_algebra
from grader.reading.algebra_child import equal_waveform
from grader.reading.reader import read
from grader.reading.tree import Name, Number, Quotient
from grader.reading.value.evaluate import evaluate
from grader.values.dimension import CURRENT
from grader.values.scalar import rational
from grader.values.waveform import NotAWaveform, Waveform, constant


@pytest.fixture(autouse=True)
def patient(monkeypatch):
    """Bounds that a busy machine keeps, too: the process's own start counts in them."""
    for bound in ("ALGEBRA_WAIT_SECONDS", "ALGEBRA_UPLOAD_SECONDS"):
        monkeypatch.setattr(algebra, bound, 120.0)
    with algebra.one_upload():
        yield


def tree_of(text: str):
    found = read(text, expects="expression", dimension=CURRENT, names={"R1": None})
    assert isinstance(found, tuple), found
    return found[0].tree


def waveform_of(text: str) -> Waveform:
    return evaluate(tree_of(text)).waveform


@pytest.mark.parametrize(
    ("text", "right"),
    [
        ("12/(5/(1-e^(-500t))) A", "12/5(1-e^(-500t)) A"),
        ("(12-12e^(-1000t))/(1+e^(-500t)) mA", "12(1-e^(-500t)) mA"),
        ("(1-e^(-26.66t))/(1+e^(-13.33t))", "1-e^(-13.33t)"),
        ("6/(1/(1-e^(-t/2ms))) A", "6-6e^(-500t) A"),
        ("(e^(-500t)-e^(-2000t))^2/(1-e^(-1500t))", "e^(-1000t)-e^(-2500t)"),
        ("2sin(3t)cos(3t)/cos(3t)", "2sin(3t)"),
        ("sin(3t)^2/(1-cos(3t))", "1+cos(3t)"),
        ("(cosh(3t)^2-1)/sinh(3t)", "sinh(3t)"),
        ("sqrt(e^(-4t)) A", "e^(-2t) A"),
        ("R1/(20/(1-e^(-5t)))", "1/2(1-e^(-5t))"),
    ],
)
def test_what_it_shows(text, right):
    """Each form has no place among the waveforms as it stands, and equals one that has."""
    names = {"R1": constant(rational("10"))}
    with pytest.raises(NotAWaveform):
        evaluate(tree_of(text), names)
    assert equal_waveform(tree_of(text), names) == waveform_of(right)


@pytest.mark.parametrize(
    "text", ["1/(1+e^(-5t))", "sin(3t)/cos(3t)", "(1-e^(-13.33t))/(1+e^(-250t))", "sqrt(1+e^(-t))", "R1/(1+e^(-t))"]
)
def test_what_is_no_sum_of_exponentials_stays_undecided(text):
    """What equals no waveform, or holds a name without a value, is left to a person."""
    assert equal_waveform(tree_of(text), {}) is None


def test_it_works_in_a_process_of_its_own():
    """The door gives what the work gives."""
    tree = tree_of("(1-e^(-10t))/(1+e^(-5t)) A")
    assert waveform_by_algebra(tree, {}) == waveform_of("1-e^(-5t)")
    assert "sympy" not in loaded_by("from grader.reading.algebra import waveform_by_algebra")


def test_what_overruns_is_not_decided_and_the_next_question_is(monkeypatch):
    waveform_by_algebra(tree_of("(1-e^(-30t))/(1+e^(-15t)) A"), {})
    os.kill(algebra._HELPER._process.pid, signal.SIGSTOP)  # so that it comes to no end, however fast it is
    with monkeypatch.context() as hasty:
        hasty.setattr(algebra, "ALGEBRA_WAIT_SECONDS", 0.1)
        with pytest.raises(Overran):
            waveform_by_algebra(tree_of("(1-e^(-20t))/(1+e^(-10t)) A"), {})
    assert waveform_by_algebra(tree_of("(1-e^(-20t))/(1+e^(-10t)) A"), {}) == waveform_of("1-e^(-10t)")


def test_the_answers_of_one_upload_share_a_bound(monkeypatch):
    with monkeypatch.context() as hasty:
        hasty.setattr(algebra, "ALGEBRA_UPLOAD_SECONDS", 0.0)
        with algebra.one_upload(), pytest.raises(Overran):
            waveform_by_algebra(tree_of("(1-e^(-40t))/(1+e^(-20t)) A"), {})
    with algebra.one_upload():
        assert waveform_by_algebra(tree_of("(1-e^(-40t))/(1+e^(-20t)) A"), {}) == waveform_of("1-e^(-20t)")


def loaded_by(program: str) -> str:
    code = f"{program}; import sys; print(' '.join(sys.modules))"
    return subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True).stdout


@pytest.mark.parametrize(
    "said", ["cos\nsystem\n(S'true'\ntR.", "\x80\x04\x8c\x02os\x8c\x06system\x93.", "__reduce__", "R" * 300]
)
def test_a_students_text_is_sent_as_text_alone(said, monkeypatch):
    """Whatever a name says, what is packed calls for our own types and numbers, and comes out as it was."""
    sent = []
    monkeypatch.setattr(algebra._HELPER, "ask", lambda question, _: sent.append(question) or pickle.dumps(None))
    tree = Quotient(Number(rational(1), said, 0), Name(said, None, 0), 0)
    assert waveform_by_algebra(tree, {said: constant(rational(2))}) is None
    texts = [argument for _, argument, _ in pickletools.genops(sent[0]) if isinstance(argument, str)]
    modules = {text for text in texts if text in sys.modules}
    assert modules
    assert all(module.split(".")[0] in {"grader", "flint"} for module in modules - {"builtins", "copyreg"}), modules
    assert pickle.loads(sent[0])[0] == tree
