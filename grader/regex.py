"""Regular expressions that are compiled when they are first used: until its first answer a process needs a third of them."""

import re
from typing import Any, cast

_METHODS = ("search", "match", "fullmatch", "finditer", "findall", "split", "sub")


class _Later:
    """A pattern; once it is compiled its methods are those of what was compiled."""

    def __init__(self, pattern: str, flags: int) -> None:
        self.pattern, self._flags = pattern, flags

    def __getattr__(self, name: str) -> Any:
        if name not in _METHODS:
            raise AttributeError(name)
        compiled = re.compile(self.pattern, self._flags)
        vars(self).update({method: getattr(compiled, method) for method in _METHODS})
        return vars(self)[name]


def regex(pattern: str, flags: int = 0) -> re.Pattern[str]:
    """What `re.compile` gives, as far as searching, splitting and replacing go; `re.Match.re` is another object.

    Examples
    --------
    >>> regex("[0-9]+").sub("1", "a22b")
    'a1b'
    """
    return cast("re.Pattern[str]", _Later(pattern, flags))
