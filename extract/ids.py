"""Ids that are derived from content and position, so that they stay the same from run to run."""

from __future__ import annotations

import hashlib
from collections import Counter


class IdMaker:
    """Makes short ids from a prefix and the content; the same content again gets a running number."""

    def __init__(self) -> None:
        self._seen: Counter[str] = Counter()

    def make(self, prefix: str, *content: object) -> str:
        """Return `prefix-xxxxxxxx`; content is compared by its text, letter case and spacing ignored."""
        key = "\x1f".join(" ".join(str(part).lower().split()) for part in content)
        base = f"{prefix}-{hashlib.blake2s(key.encode(), digest_size=4).hexdigest()}"
        self._seen[base] += 1
        count = self._seen[base]
        return base if count == 1 else f"{base}.{count}"
