"""Elements in parallel beside a product: ``R1||R2*C1`` is mostly meant as ``(R1||R2)*C1``, and ``L1/R1||R2`` likewise."""

from collections.abc import Iterable

from grader.reading.ambiguities import Alternative, Ambiguities
from grader.reading.tokens import Token, virtual

_WAYS = (
    Alternative("What stands in parallel was taken together first."),
    Alternative("The product beside the parallel bars was worked out first."),
)
_ENDS = {"PLUS", "MINUS", "EITHER", "COMMA", "EQUALS", "LABEL", "BELOW", "ABOVE", "STAR", "SLASH"}
_FACTORS = {"STAR", "SLASH"}


def parallel_together(tokens: list[Token], forks: Ambiguities) -> list[Token]:
    """The tokens with brackets around what stands in parallel, where a factor stands beside it."""
    index = 0
    while index < len(tokens):
        if tokens[index].kind == "PARALLEL":
            start, end = index - _operand(reversed(tokens[:index]), "CLOSE"), index
            while end < len(tokens) and tokens[end].kind == "PARALLEL":
                end += 1 + _operand(tokens[end + 1 :], "OPEN")
            beside = {tokens[place].kind for place in (start - 1, end) if 0 <= place < len(tokens)}
            place = tokens[index].start
            if not beside.isdisjoint(_FACTORS) and forks.choose("arrange", "parallel", place, _WAYS) == 0:
                inner = [virtual("OPEN", place, "("), *tokens[start:end], virtual("CLOSE", place, ")")]
                tokens = [*tokens[:start], *inner, *tokens[end:]]
                end += 2
            index = end
        index += 1
    return tokens


def _operand(tokens: Iterable[Token], opening: str) -> int:
    """How many tokens belong to an operand, counted from its side of the bars; a bracket belongs to it whole."""
    depth = count = 0
    for token in tokens:
        if token.kind in {"OPEN", "CLOSE"}:
            depth += 1 if token.kind == opening else -1
        if depth < 0 or (depth == 0 and (token.kind in _ENDS or token.kind == "PARALLEL")):
            break
        count += 1
    return count
