"""What is wrong with a text that is no quantity, and what was probably meant: only read when something is."""

from __future__ import annotations

import re

from recipelint.recipe.quantity import LONGEST, brief, number, regex
from recipelint.recipe.units import KINDS, Kind


def needs_unit(value: float, kind: Kind, written: str = "") -> str:
    """The sentence for a number that lacks its unit, with the likely one."""
    said = brief(written) if written else number(value)
    if value < 0 and not kind.signed:
        return f"`{said}` is below nothing; {kind.wants} is wanted, such as `{kind.example}`"
    if not (abs(value) < 1e12):
        return f"`{said}` is no {kind.wants.split(' ', 1)[1]}; write it like `{kind.example}`"
    return f"`{said}` needs a unit: did you mean `{_likely(value, kind, said)}`?"


def _likely(value: float, kind: Kind, said: str) -> str:
    unit = kind.likely
    if kind.name == "mass":
        unit = "g" if value >= 20 else "kg"
    elif kind.name in ("volume", "liquid-amount"):
        unit = "mL" if value >= 200 or kind.name == "liquid-amount" else "L"
    elif kind.name == "yield" and value > 150:
        unit = "L°/kg"
    elif unit == "%" and value <= 1:
        return f"{float(f'{value * 100:.10g}'):g} %"
    return f"{said} {unit}"


def diagnose(text: str, kind: Kind) -> str:
    """Why the text is no quantity of the kind, as one sentence with a way out."""
    said = brief(text)
    bare = " ".join(text.split())
    if len(bare) > LONGEST:
        return f"`{said}` is no {kind.wants.split(' ', 1)[1]}; write it like `{kind.example}`"
    if not bare:
        return f"nothing is written here; {kind.wants} is wanted, such as `{kind.example}`"
    if re.fullmatch(r"-?[0-9]+(\.[0-9]+)?", bare) and kind.units and not kind.alone:
        return needs_unit(float(bare) if "." in bare else int(bare[:400]), kind)
    for repaired in _repairs(bare, kind):
        if regex(kind.name).match(repaired):
            return f"`{said}` is not a form I can read: did you mean `{repaired}`?"
    if bare.startswith("-") and not kind.signed and regex(kind.name).match(bare[1:].strip()):
        return f"`{said}` is below nothing; {kind.wants} is wanted, such as `{kind.example}`"
    other = _other_kind(bare, kind)
    if other is not None:
        return f"`{said}` is {other.wants}; {kind.wants} is wanted, such as `{kind.example}`"
    return _unknown_unit(bare, said, kind)


def _repairs(text: str, kind: Kind) -> list[str]:
    """The usual slips undone: a comma for the point, a dash for the range, words for a plus-minus, letter case."""
    # 4,500 g may be four and a half kilograms or four and a half grams: a guess could be a thousand times off.
    thousands = re.fullmatch(r"([0-9]{1,3}),([0-9]{3})(\D.*|)", text)
    if thousands:
        return [f"{thousands[1]}{thousands[2]}{thousands[3]}"]
    point = re.sub(r"(?<=[0-9]),(?=[0-9])", ".", text)
    ranged = re.sub(r"(?<=[0-9%°CFgLl])\s*(?:-|–|—|\bto\b|…|\.\.\.)\s*(?=[0-9])", " .. ", point)
    about = re.sub(r"^(?:~|ca\.?|circa|about|approx\.?|approximately)\s*", "", point)
    plus = re.sub(r"\s*(?:\+-|-\+|\bplus or minus\b)\s*", " ± ", point)
    out = [point, ranged, plus, about]
    mixed = re.fullmatch(r"([0-9.]+) *(lb|lbs|h) *([0-9.]+) *(oz|min)", text)
    if mixed and text.count(".") < 2:
        whole, part = float(mixed[1]), float(mixed[3])
        out.append(f"{whole + part / 16:g} lb" if mixed[4] == "oz" else f"{whole * 60 + part:g} min")
    clock = re.fullmatch(r"([0-9]+):([0-9]{2})", text)
    if clock:
        out.append(f"{clock[1] if clock[2] == '00' else int(clock[1]) * 60 + int(clock[2])} min")
    match = re.fullmatch(r"(-?[0-9.]+)\s*(\D.*)", point)
    if match:
        out += [f"{match[1]} {word}" for word in kind.units if word.lower() == match[2].lower()]
    return [candidate for candidate in out if candidate != text and len(candidate) <= 60]


def _other_kind(text: str, kind: Kind) -> Kind | None:
    for name, other in KINDS.items():
        if (
            other is not kind
            and other.units
            and not other.alone
            and name not in ("amount", "liquid-amount", "percent")
        ):
            match = regex(name).match(text)
            if match is not None and not _shares_unit(match.groups(), kind):
                return other
    return None


def _shares_unit(groups: tuple[str | None, ...], kind: Kind) -> bool:
    return any(word in kind.units for word in groups if word)


def _unknown_unit(text: str, said: str, kind: Kind) -> str:
    match = re.match(r"-?[0-9.]+\s*([^0-9\s.±+-].*)", text)
    what = kind.wants.split(" ", 1)[1]
    if match and kind.units:
        import difflib

        word = match[1].strip()
        lower = {unit.lower(): unit for unit in kind.units}
        near = difflib.get_close_matches(word.lower(), list(lower), n=1, cutoff=0.7)
        if near:
            return (
                f"`{said}`: I know no unit `{brief(word)[:20]}` for {kind.wants}; `{lower[near[0]]}` is near"
            )
        return (
            f"`{said}`: I know no unit `{brief(word)[:20]}` for {kind.wants}; write it like `{kind.example}`"
        )
    return f"`{said}` is no {what}; write it like `{kind.example}`"
