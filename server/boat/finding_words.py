"""What findings are called in a few words, by their codes."""

from collections.abc import Mapping


def finding_words(code: str) -> str:
    """A finding by its code: its own words where the code alone would not be understood.

    >>> finding_words("uncounted"), finding_words("stud-full")
    ('not counted by the battery monitor', 'stud full')
    """
    return _WORDS.get(code, code.replace("-", " "))


_WORDS: Mapping[str, str] = {
    "uncounted": "not counted by the battery monitor",
    "too-close": "too close to call",
    "dips-low": "voltage dips low",
    "outputs-brown-out": "electronic outputs may go dark together",
    "dips-briefly": "short dips of the voltage",
    "spike-high": "voltage spikes high",
    "coil-kicks": "coil kicks onto electronics",
    "turn-loses-battery": "turn of a switch that takes the battery off a source",
    "turn-through-off": "selector turned through OFF",
    "limit-not-known": "lowest voltage it needs not known",
    "drop-over-limit": "voltage drop over its limit",
    "drop-too-close": "voltage drop too close to call",
    "feeder-shared": "drop of a shared feeder",
    "link-offset": "data link's negatives come apart",
    "no-convergence": "not solved",
    "device-above-conductor": "fuse or breaker too large for its conductor",
    "device-above-negative": "fuse or breaker too large for the negative",
    "unprotected-lead": "no fuse or breaker before the lead",
    "one-end-unprotected": "no fuse or breaker at one end",
    "source-without-device": "source without a fuse or breaker",
    "source-end-unprotected": "no fuse or breaker at the source's own end",
    "device-too-far": "fuse or breaker too far away",
    "interrupting-below-table": "interrupting rating below the table",
    "fault-does-not-open": "short circuit does not open the fuse or breaker",
    "fault-may-not-open": "short circuit may not open the fuse or breaker",
    "burns-before-opening": "conductor burns before the fuse or breaker opens",
    "opens-at-start": "fuse or breaker opens at a start",
    "opens-out-of-turn": "fuse or breaker opens out of turn",
    "stall-does-not-open": "jammed motor does not open the fuse or breaker",
    "over-rating": "carries more than its rating",
    "switch-intermittent": "switch's rating for cranking",
    "switch-continuous": "switch's continuous rating",
    "charge-lead-feeds": "charge lead feeds a start",
    "burns-in-its-place": "another conductor burns when one is loose",
    "start-beside-its-way": "start current beside its way",
    "metal-as-return": "metal carries a return",
    "returned-to-block": "negative on the engine block",
    "alive-when-off": "alive with the battery switch off",
    "midpoint-fed": "fed from the middle of a bank",
}
