"""``python -m tests.reading.make_table`` has lark make the table of the grammar anew; needed whenever answer.lark changes."""

import json
from typing import Any

from lark import Lark
from lark.parsers.lalr_analysis import Shift

from grader.reading.tree.parse import TABLE

GRAMMAR = TABLE.with_suffix(".lark")


def written() -> str:
    """The table as its file has it, a state to a line: for each terminal a state to shift to or ``~rule``."""
    lark = Lark(
        GRAMMAR.read_text(encoding="utf-8"),
        parser="lalr",
        lexer="basic",
        maybe_placeholders=False,
        keep_all_tokens=True,
    )
    made = lark.parser.parser._parse_table
    start = made.start_states["start"]
    order = [start]  # lark numbers states and rules differently every time: here by how they are reached, and by name
    for state in order:
        reached = [target for _, (action, target) in sorted(made.states[state].items()) if action is Shift]
        order += [target for target in dict.fromkeys(reached) if target not in order]
    rules = {
        _rule(target): None for row in made.states.values() for action, target in row.values() if action is not Shift
    }
    numbers = {rule: number for number, rule in enumerate(sorted(rules))}
    actions: list[dict[str, int]] = []
    gotos: list[dict[str, int]] = []
    for state in order:
        actions.append({})
        gotos.append({})
        for symbol, (action, target) in sorted(made.states[state].items()):
            if action is not Shift:
                actions[-1][symbol] = ~numbers[_rule(target)]
            else:
                row = actions if symbol.isupper() or symbol == "$END" else gotos
                row[-1][symbol] = order.index(target)
    whole = {
        "start": 0,
        "end": order.index(made.end_states["start"]),
        "rules": [[origin, len(pieces), alias or None] for origin, pieces, alias in numbers],
        "actions": actions,
        "gotos": gotos,
    }
    return json.dumps(whole).replace("}, ", "},\n").replace("], ", "],\n") + "\n"


def _rule(rule: Any) -> tuple[str, tuple[str, ...], str]:
    """What it makes, of what, and what builds that."""
    return str(rule.origin.name), tuple(str(piece.name) for piece in rule.expansion), str(rule.alias or "")


def main() -> None:
    """Write it."""
    TABLE.write_text(written(), encoding="utf-8")


if __name__ == "__main__":
    main()
