"""The table walk against lark's own parser, and what binds how tightly."""

import json
import tomllib
from pathlib import Path

import pytest
from lark import Lark, Transformer
from lark.exceptions import GrammarError, UnexpectedInput
from lark.lexer import Lexer
from lark.lexer import Token as LarkToken

from grader.reading.ambiguities import Ambiguities
from grader.reading.reader import read
from grader.reading.refusals import CannotRead
from grader.reading.text.cell import tidy
from grader.reading.text.glyphs import normalize
from grader.reading.tokens import Question, Token
from grader.reading.tokens.brackets import arrange
from grader.reading.tokens.scan import scan
from grader.reading.tokens.vocabulary import vocabulary
from grader.reading.tree.parse import BUILDERS, TABLE, parse, table
from tests.reading.make_table import GRAMMAR, written

TEXTS = [
    row["text"] for row in tomllib.loads(Path(__file__).with_name("notations.toml").read_text(encoding="utf-8"))["form"]
]
WRONG = ["2 +", ")", "2 3 =", "= =", "2 * * 3", "^2", "a < b < c < d", "1 = < 2", "cos", "2,,3 =", "t > > 0"]


class _Ready(Lexer):
    """Hands tokens on that are made already."""

    def __init__(self, _conf) -> None:
        pass

    def lex(self, data):
        for token in data:
            yield LarkToken(token.kind, token.value)


def by_lark(tokens):
    """The same grammar, parsed by lark, its tree turned into ours by the same builders."""

    class Build(Transformer):
        pass

    for name, builder in BUILDERS.items():
        setattr(
            Build,
            name,
            lambda _, children, builder=builder: builder(
                *[getattr(c, "value", c) if isinstance(c, LarkToken) else c for c in children]
            ),
        )
    lark = Lark(
        GRAMMAR.read_text(encoding="utf-8"), parser="lalr", lexer=_Ready, maybe_placeholders=False, keep_all_tokens=True
    )
    found = Build().transform(lark.parse(tokens))
    return found.value if isinstance(found, LarkToken) else found


def arranged(text: str) -> list[Token]:
    question = Question(vocabulary(()), "expression")
    return arrange(scan(tidy(normalize(text).text).text, question, Ambiguities()), question, Ambiguities())


@pytest.mark.parametrize("text", TEXTS[::5] + WRONG)
def test_same_tree_as_lark(text):
    """Walking the table gives what lark gives, answers and refusals alike."""
    try:
        tokens = arranged(text)
    except CannotRead:
        return
    try:
        wanted = by_lark(tokens)
    except UnexpectedInput:
        with pytest.raises(CannotRead):
            parse(tokens)
    else:
        assert parse(tokens) == wanted


def test_the_grammar_has_no_clashes():
    """In strict mode lark refuses a grammar with two ways for any token."""
    text = GRAMMAR.read_text(encoding="utf-8")
    Lark(text, parser="lalr", lexer=_Ready, strict=True)
    with pytest.raises(GrammarError):  # the check can fail
        Lark(text.replace("product power ", "product signed "), parser="lalr", lexer=_Ready, strict=True)


def test_the_table_is_that_of_the_grammar():
    """Where this fails the grammar was changed: ``python -m tests.reading.make_table``."""
    assert json.loads(written()) == json.loads(TABLE.read_text(encoding="utf-8"))


def test_every_rule_has_its_builder():
    """Whatever gathers several pieces says how."""
    assert all(length == 1 or builder is not None for _, length, builder in table().rules)


@pytest.mark.parametrize(
    "text, bracketed",
    [
        ("1+2*3", "1 + 2·3"),
        ("2*3^2", "2·3^2"),
        ("-2^2", "−2^2"),
        ("(-2)^2", "(−2)^2"),
        ("2^3^2", "2^(3^2)"),
        ("6/2*3", "(6/2)·3"),
        ("6/2(3)", "(6/2)·3"),
        ("2t e^-5t", "2t·e^(−5t)"),
        ("e^-t/2*5", "e^(−t/2)·5"),
        ("e^-3*t/4", "e^(−3t/4)"),
        ("e^(-t/3*4)", "e^(−t/(3·4))"),
        ("cos 2t sin 3t", "cos(2t)·sin(3t)"),
        ("cos2t+1", "cos(2t) + 1"),
        ("√2/2", "√(2)/2"),
        ("2--3", "2 − (−3)"),
        ("1/2/4", "1/2/4"),
        ("8e^-t(1-t)", "8e^(−t)·(1 − t)"),
        ("ln 2 t", "ln(2)·t"),
    ],
)  # fmt: skip
def test_precedence(text, bracketed):
    """What binds more tightly, with the brackets that the reader put in."""
    found = read(text, expects="expression")
    assert found[0].text == bracketed
