"""Fresh ids for new things; pure edits take them as arguments."""

import secrets


def new_id(prefix: str) -> str:
    """A random id such as ``fuse-3f9c01d2ab``, never used before; the prefix is a short lower-case word."""
    return f"{prefix[:20]}-{secrets.token_hex(5)}"
