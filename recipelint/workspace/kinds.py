"""What kind of file one ought to be, by the folder it lies in or by its first line, where its tree cannot tell."""

KINDS = ("recipe", "brewhouse", "brew", "house", "catalogue", "rules", "styles")

# The house's lists of files, and the kind of file that each is for.
KIND_IN = {
    "recipes": "recipe",
    "brewhouses": "brewhouse",
    "catalogue": "catalogue",
    "brews": "brew",
    "rules": "rules",
    "styles": "styles",
}


def first_kind(text: str) -> str | None:
    """The kind that the first line with content names, as in ``recipe: 1``; None for any other text.

    It is asked of text that is no sound YAML, where a recipe with a slip in it and a template of some other tool look
    alike but for this line.
    """
    for line in text.splitlines():
        said = line.strip()
        if not said or said.startswith(("#", "%", "---")):
            continue
        key, _, version = said.lstrip("{ ").partition(":")
        key, version = key.strip(" '\""), version.strip(" '\"")
        return key if key in KINDS and version[:1].isdigit() else None
    return None
