"""The names of what is checked in code and not by a rule as data; their pages stand in
``rules/built-in.yaml``.
"""

from __future__ import annotations

_NAMES = """
accept-stale accept-unknown-rule accept-without-reason alias-recursive alias-unknown ambiguous-style
amount-by-spoon duplicate-key file-empty file-too-large file-unreadable inner-fault key-missing key-not-text
more-than-one-document name-used-twice nesting-too-deep not-utf-8 promise-not-kept quantity-implausible
quantity-invalid rule-failed rule-invalid scalar-too-long stage-time-missing style-entry-lacks-base style-range-missed
tag-not-allowed too-many-nodes unknown-brewhouse unknown-culture unknown-ingredient unknown-key unknown-kind
unknown-lot unknown-recipe unknown-stat unknown-style wrong-shape yaml-syntax
"""


def built_in_names() -> tuple[str, ...]:
    """All of them, sorted."""
    return tuple(sorted(_NAMES.split()))
