"""Practice sets and personal sheets, made when first asked for; the latest ones are kept."""

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Generic, TypeVar

V = TypeVar("V")


class LruCache(Generic[V]):
    """Remembers what is costly to make, up to a number, the one used longest ago going first; one is made at a time."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._lock = threading.Lock()
        self._making = threading.Lock()
        self._found: OrderedDict[Hashable, V] = OrderedDict()

    def known(self, key: Hashable) -> V | None:
        """What is remembered under a key, or None."""
        with self._lock:
            if key in self._found:
                self._found.move_to_end(key)
            return self._found.get(key)

    def made(self, key: Hashable, make: Callable[[], V]) -> V:
        """What is remembered under a key, or is made now."""
        with self._making:
            value = self.known(key)
            if value is None:
                value = make()
                with self._lock:
                    self._found[key] = value
                    while len(self._found) > self._most:
                        self._found.popitem(last=False)
            return value
