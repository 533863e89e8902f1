"""Finds the names nearest to one that is not known, and the one spelling under which names are compared."""

from __future__ import annotations

from collections.abc import Iterable, Mapping


def plain_name(text: str) -> str:
    """``text`` as names are compared: lower case, no accents, any run of other characters one space.

    "Hallertauer-Mittelfrüh", "hallertauer mittelfruh" and "Hallertauer  MITTELFRÜH" are one name.
    """
    if not text.isascii():
        import unicodedata  # names with accents are rare, and the module is not free

        parts = unicodedata.normalize("NFKD", text.casefold())
        text = "".join(char for char in parts if not unicodedata.combining(char))
    return " ".join("".join(char if char.isalnum() else " " for char in text.lower()).split())


def nearest(
    name: str, known: Iterable[str] | Mapping[str, str], count: int = 3, cutoff: float = 0.6
) -> list[str]:
    """Up to ``count`` of the ``known`` names that are nearest to ``name``, best first.

    ``known`` is a collection of names, or a mapping from a spelling to the name to be shown for it. A name
    that holds every word asked for comes before one that only looks alike. The order is the same from run
    to run.
    """
    asked = plain_name(name)
    if not asked:
        return []
    shown = known if isinstance(known, Mapping) else {each: each for each in known}
    spellings: dict[str, str] = {}
    for each in sorted(shown):
        spellings.setdefault(plain_name(each), shown[each])
    key = (asked, count, cutoff, len(spellings), hash(frozenset(spellings.items())))
    if key not in _answers:
        if len(_answers) >= MOST_ANSWERS:
            _answers.clear()
        _answers[key] = _search(asked, spellings, count, cutoff)
    return list(_answers[key])


# A name that is wrong on a hundred lines is looked for once.
MOST_ANSWERS = 500
_answers: dict[tuple[str, int, float, int, int], list[str]] = {}


def _search(asked: str, spellings: Mapping[str, str], count: int, cutoff: float) -> list[str]:
    import difflib  # only wanted when there is something to complain about

    words = set(asked.split())
    matcher = difflib.SequenceMatcher(autojunk=False)
    matcher.set_seq2(asked)
    scored: list[tuple[float, str, str]] = []
    for spelling, target in spellings.items():
        holds = words <= set(spelling.split())
        matcher.set_seq1(spelling)
        if not holds and (matcher.real_quick_ratio() < cutoff or matcher.quick_ratio() < cutoff):
            continue
        ratio = matcher.ratio()
        if holds or ratio >= cutoff:
            scored.append((-(ratio + (0.5 if holds else 0.0)), spelling, target))
    best: list[str] = []
    for _, _, target in sorted(scored):
        if target not in best:
            best.append(target)
            if len(best) == count:
                break
    return best
