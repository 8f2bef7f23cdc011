"""Why an edit cannot be made."""


class EditError(ValueError):
    """An edit that cannot be made: the field that stands in the way, what is wrong, and how to mend it."""

    def __init__(self, field: str, message: str, mend: str) -> None:
        """Keep the three; together they make the message."""
        super().__init__(f"{field}: {message} {mend}")
        self.field = field
        self.message = message
        self.mend = mend
