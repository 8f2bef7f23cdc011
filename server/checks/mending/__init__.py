"""Edits that may mend a finding; whether one does, and does no harm, is judged on the boat after it.

Nothing here is offered unjudged. A candidate is a reasonable job: a size or device one can buy, near what it
replaces, for the current that flows; common practice, no source, where no rule is named.
"""
