"""Conductor sizes as they are printed on cables and said aboard, read as one that can be bought."""

import re

from server.practice.sizes import ConductorSize, UnknownSizeError, size, sizes

_GAUGE = re.compile(r"^(?:awg|#)?\s*(\d/0|0{1,4}|\d{1,2})\s*(?:awg|ga\.?|gauge)?$", re.IGNORECASE)
_METRIC = re.compile(r"^(\d{1,3}(?:[.,]\d{1,2})?)\s*(?:mm\s*(?:2|²|\^2)?|sq\.?\s*mm|qmm)$", re.IGNORECASE)
_SAE = re.compile(r"^sae\s*(\d/0|\d{1,2})$", re.IGNORECASE)
_BARE = re.compile(r"^\d{1,3}(?:[.,]\d{1,2})?$")
LONGEST = 40


def printed_size(text: str) -> ConductorSize:
    """The size that a text means; a bare number is one only where just one system has it.

    Raises:
        UnknownSizeError: no size is called so, or two are.

    >>> printed_size("35mm2").label, printed_size("awg 8").label, printed_size("2/0").label
    ('35 mm²', '8 AWG', '2/0 AWG')
    >>> printed_size("35").label
    '35 mm²'
    """
    plain = " ".join(text[:LONGEST].split())
    known = {one.label.casefold(): one for one in sizes()}
    metric, gauge = _metric(plain), _gauge(plain)
    if _BARE.match(plain):
        found = [known[label] for label in (f"{_figure(plain)} mm²", gauge) if label in known]
        if len(found) > 1:
            raise UnknownSizeError(f"{plain} may be {found[0].label} or {found[1].label}: write which")
        if found:
            return found[0]
    wanted = (plain.casefold(), metric, gauge, _sae(plain))
    found_one = next((known[label] for label in wanted if label in known), None)
    return found_one or size(plain)


def _figure(text: str) -> str:
    return f"{float(text.replace(',', '.')):g}"


def _metric(text: str) -> str:
    found = _METRIC.match(text)
    return f"{_figure(found[1])} mm²" if found else ""


def _gauge(text: str) -> str:
    found = _GAUGE.match(text)
    if not found:
        return ""
    number = found[1]
    if set(number) == {"0"}:
        number = f"{len(number)}/0"
    return f"{number} awg"


def _sae(text: str) -> str:
    found = _SAE.match(text)
    return f"sae {found[1]}" if found else ""
