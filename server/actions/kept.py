"""A small store of the last results, safe to use from many threads."""

import threading
from collections import OrderedDict
from collections.abc import Callable
from typing import Generic, TypeVar

K = TypeVar("K")
V = TypeVar("V")


class Kept(Generic[K, V]):
    """The results used last, by key; what is asked for again is not computed again."""

    def __init__(self, most: int) -> None:
        """Keep at most this many."""
        self._most = most
        self._items: OrderedDict[K, V] = OrderedDict()
        self._lock = threading.Lock()
        self._making: dict[K, threading.RLock] = {}

    def get(self, key: K, make: Callable[[], V]) -> V:
        """The kept value, or the made one, which is then kept; who asks meanwhile waits for it."""
        found = self.peek(key)
        if found is not None:
            return found
        with self._lock:
            mine = self._making.setdefault(key, threading.RLock())
        with mine:
            found = self.peek(key)
            if found is not None:
                return found
            try:
                value = make()
                with self._lock:
                    self._items[key] = value
                    while len(self._items) > self._most:
                        self._items.popitem(last=False)
            finally:
                with self._lock:
                    self._making.pop(key, None)
        return value

    def peek(self, key: K) -> V | None:
        """The kept value, if there is one."""
        with self._lock:
            if key not in self._items:
                return None
            self._items.move_to_end(key)
            return self._items[key]
