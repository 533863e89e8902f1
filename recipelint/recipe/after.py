"""What is checked and filled in when all properties of a record have been read."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeAlias

from recipelint.recipe import model
from recipelint.recipe.model import GristItem, Timing
from recipelint.recipe.readers import REST
from recipelint.recipe.schema import schema
from recipelint.recipe.troubles import Job, Trouble

Hook: TypeAlias = Callable[[list[Any], dict[str, Any], Job], None]


def _indices(cls: Any) -> dict[str, int]:
    return {name: index for index, name in enumerate(cls._fields)}


_RECIPE = _indices(model.Recipe)
_ITEM = _indices(model.GristItem)
_PACKAGE = _indices(model.Package)
_RECORD = _indices(model.Record)
_READING = _indices(model.Reading)


def _grist_item(values: list[Any], data: dict[str, Any], job: Job) -> None:
    """A steep is a stage too, and an item needs an amount."""
    steep = values[_ITEM["steep"]]
    if steep is not None:
        pointer, when = values[_ITEM["at"]], values[_ITEM["when"]]
        if when is not None:
            message = f"`{when.stage}` and `steep` both say when it goes in; keep one"
            first, second = sorted((f"{pointer}/{when.stage}", f"{pointer}/steep"), key=_order(data))
            job.both(message, first, second)
        else:
            kind = "unknown" if steep.for_ is None else "contact"
            values[_ITEM["when"]] = Timing("steep", kind, steep.for_, f"{pointer}/steep", "")
    if "weight" not in data and "share" not in data and not data.keys() - _known_keys():
        what = values[_ITEM["what"]]
        name = f"`{what.id}`" if what is not None else "this item"
        job.add(
            "key-missing",
            f"{name} has no amount: write `weight: 500 g`, or shares on every item",
            f"{values[_ITEM['at']]}/weight",
        )


def _known_keys() -> Any:
    """The keys of an item: with one that is none of them, the amount is most likely there, misspelt."""
    return schema("recipe")["$defs"]["GristItem"]["properties"].keys()


def _order(data: dict[str, Any]) -> Callable[[str], int]:
    places = {key: index for index, key in enumerate(data)}
    return lambda pointer: places.get(pointer.rsplit("/", 1)[1], 0)


def _recipe(values: list[Any], data: dict[str, Any], job: Job) -> None:
    """Styles beyond the first are only shown; a culture may say where the beer ends; a bill is of one kind."""
    styles = values[_RECIPE["style"]]
    if styles is not None:
        values[_RECIPE["style"]] = styles[0] if styles else None
        values[_RECIPE["also_styles"]] = tuple(styles[1:])
    if values[_RECIPE["finishes"]] is None:
        # Written on the culture it means the same: where the whole beer ends with it.
        known = [
            culture.finishes for culture in values[_RECIPE["yeast"]] or () if culture.finishes is not None
        ]
        values[_RECIPE["finishes"]] = min(known, key=lambda end: end.value, default=None)
    if values[_RECIPE["grist"]] is None:
        values[_RECIPE["grist"]] = ()
    _bill(values[_RECIPE["grist"]], values[_RECIPE["batch"]], data, job)
    batch = values[_RECIPE["batch"]]
    if batch is not None and batch.volume is not None and batch.volume.value <= 0.0:
        job.add(
            "quantity-implausible",
            f"`{batch.volume.text}` is no batch: say how many litres are wished for",
            "/batch/volume",
        )
    _top_up(values[_RECIPE["top_up"]], batch, job)


def _top_up(top_up: Any, batch: Any, job: Job) -> None:
    """A top-up is a part of the batch; what is counted in the kettle comes before it."""
    if top_up is None or top_up.volume is None or batch is None or batch.volume is None:
        return
    if top_up.volume.value >= batch.volume.value > 0.0 and batch.into != "kettle":
        message = (
            f"a top-up of {top_up.volume.text} leaves nothing to boil for a batch of {batch.volume.text}"
        )
        job.add("quantity-implausible", message, f"{top_up.at}/volume")


def _bill(grist: tuple[GristItem, ...], batch: Any, data: dict[str, Any], job: Job) -> None:
    shares = [item.share for item in grist if item.share is not None]
    weights = [item.weight for item in grist if item.weight is not None]
    if not shares:
        if weights and batch is not None and batch.gravity is not None:
            message = (
                "weights are written, so `gravity` has no say; promise it with `expect: {original_gravity: ...}`, "
                "or write shares"
            )
            job.add("wrong-shape", message, f"{batch.at}/gravity", level="warning")
        return
    if weights:
        share, weight = shares[0].at, weights[0].at
        if (
            share is not None
            and weight is not None
            and share.pointer.rsplit("/", 1)[0] != weight.pointer.rsplit("/", 1)[0]
        ):
            order = [item.at for item in grist]
            first, second = sorted((share, weight), key=lambda at: order.index(at.pointer.rsplit("/", 1)[0]))
            message = "`grist` mixes weights and shares; write the whole bill in one of them"
            related = (("here it is the other", first),)
            job.troubles.append(Trouble("wrong-shape", message, second, "key", "error", related))
    elif batch is not None and batch.gravity is None and "gravity" not in (data.get("batch") or {}):
        message = (
            "`batch` needs `gravity: 1.060` or the like: shares alone do not say how strong the beer is to be"
        )
        job.add("key-missing", message, f"{batch.at}/gravity")


def _package(values: list[Any], data: dict[str, Any], job: Job) -> None:
    if values[_PACKAGE["volume"]] is REST:
        values[_PACKAGE["volume"]] = None
        values[_PACKAGE["rest"]] = True


def _record(values: list[Any], data: dict[str, Any], job: Job) -> None:
    values[_RECORD["readings"]] = job.readings
    if values[_RECORD["measured"]] is None:
        values[_RECORD["measured"]] = ()


def _reading(values: list[Any], data: dict[str, Any], job: Job) -> None:
    """A gravity brings its instrument, and its temperature where the beer's is not written."""
    got = values[_READING["gravity"]]
    if got is None:
        return
    gravity, instrument, temperature = got
    values[_READING["gravity"]] = gravity
    values[_READING["instrument"]] = instrument
    if temperature is not None:
        if values[_READING["temperature"]] is not None:
            place = values[_READING["at"]]
            job.both(
                "`gravity` and `at` both give the temperature; keep one", f"{place}/gravity", f"{place}/at"
            )
        values[_READING["temperature"]] = temperature


HOOKS: dict[str, Hook] = {
    "GristItem": _grist_item,
    "Recipe": _recipe,
    "Package": _package,
    "Record": _record,
    "Reading": _reading,
}
