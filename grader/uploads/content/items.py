"""Which item of the rubric a student means by what stands in the item cell."""

from difflib import get_close_matches
from functools import lru_cache

from msgspec import Struct

from grader.regex import regex
from grader.uploads.names import folded, key

Pair = tuple[str, str]
"""A problem's id and an item's id."""

_BETWEEN = regex(r"\s*[\s/_-]\s*")
_BRACKET = regex(r"[(\[]")


_AROUND = " :=.*`"

_HINT_CHARS = 80
"""Longest text compared with the items' names for a hint; the comparison takes the square of it."""


class Items(Struct, frozen=True, kw_only=True):
    """The items asked, found by their names as people write them."""

    problems: dict[str, str]
    names: dict[str, tuple[Pair, ...]]
    lists: dict[Pair, tuple[Pair, ...]]
    """The common name of a list, as an item of its problem: ``curve`` for ``curve-1``, ``curve-2`` …"""

    def problem(self, text: str) -> str | None:
        """The id of the problem meant, None if there is none of that name.

        A word such as ``problem`` in front does not matter, nor does a remark in brackets behind.
        """
        bare = key(_bare(text)).strip("#:.*`")
        for word in ("", "problem", "exercise", "circuit"):
            if bare.startswith(word) and (found := self.problems.get(bare.removeprefix(word).lstrip("#:."))):
                return found
        return None

    def find(self, text: str, problem: str | None = None) -> Pair | None:
        """The item meant by `text` (``tau`` or ``valve.tau``), None if there is none or more than one.

        Parameters
        ----------
        text : str
            As written.
        problem : str, optional
            The id of the problem that was named beside it; then an item of another problem is found by its full
            name only.
        """
        for meant in (str, _bare, self._joined):
            written = meant(text)
            for fold in (folded, key):
                name = fold(written).strip(_AROUND)
                inside = () if problem is None else self.names.get(f"{fold(problem)}.{name}", ())
                anywhere = self.names.get(name, ()) if problem is None or "." in name else ()
                for pairs in (inside, anywhere):
                    if len(pairs) == 1:
                        return pairs[0]
        return None

    def _joined(self, text: str) -> str:
        """``valve tau``, ``valve-tau`` or ``valve/tau`` with the point that stands between problem and item; else nothing."""
        first, _, rest = _BETWEEN.sub(".", text.strip(), count=1).partition(".")
        return f"{found}.{rest}" if (found := self.problem(first)) is not None and rest else ""

    def several(self, text: str) -> tuple[Pair, ...]:
        """The items of a name that more than one problem has."""
        pairs = self.names.get(key(text.strip(_AROUND)), ())
        return pairs if len(pairs) > 1 else ()

    def hint(self, text: str) -> str:
        """What to say about a name that `find` does not know."""
        if problems := self.several(text):
            return f"several problems have it: {', '.join('.'.join(pair) for pair in problems)}"
        near = get_close_matches(key(text)[:_HINT_CHARS], self.names, n=1, cutoff=0.6)
        nearest = f"; the nearest is '{'.'.join(self.names[near[0]][0])}'" if near else ""
        return f"the rubric has no such item{nearest}"


def _bare(text: str) -> str:
    """A name without the remark behind it, as in ``tau (in ms)``."""
    return _BRACKET.split(text, maxsplit=1)[0].rstrip()


@lru_cache(maxsize=8)
def known_items(pairs: tuple[Pair, ...]) -> Items:
    """Prepare the look-up of the items asked: (problem id, item id), all pairs of the rubric."""
    names: dict[str, tuple[Pair, ...]] = {}
    lists = _lists(pairs)
    for problem, item in (*pairs, *lists):
        forms = {fold(text) for fold in (folded, key) for text in (item, f"{problem}.{item}")}
        for form in sorted(forms):
            names[form] = (*names.get(form, ()), (problem, item))
    return Items(problems={key(problem): problem for problem, _ in pairs}, names=names, lists=lists)


def _lists(pairs: tuple[Pair, ...]) -> dict[Pair, tuple[Pair, ...]]:
    """The lists among the items, by the common name, where no item has that for its own."""
    found: dict[Pair, tuple[Pair, ...]] = {}
    for problem, item in pairs:
        name, hyphen, number = item.rpartition("-")
        if hyphen and number == str(len(found.get((problem, name), ())) + 1) and (problem, name) not in pairs:
            found[problem, name] = (*found.get((problem, name), ()), (problem, item))
    return {common: items for common, items in found.items() if len(items) > 1}
