"""Frozen shapes → plain values that JSON keeps to the last bit, and back by the types of their fields."""

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date
from functools import cache
from types import NoneType, UnionType
from typing import Any, TypeVar, Union, get_args, get_origin, get_type_hints

Shape = TypeVar("Shape")

Plain = Any
"""What JSON can hold."""

_AS_WRITTEN = (int, float, str, bool)
"""Of these, hundreds in a quote, nothing has to be read back one by one."""


def to_plain(value: Any) -> Plain:
    """A shape, or a value in one, as plain values.

    JSON keeps a float to its last bit: Python writes the shortest text that reads back as the same one.
    """
    if is_dataclass(value):
        return {f.name: to_plain(getattr(value, f.name)) for f in fields(value)}
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, tuple):
        return [to_plain(each) for each in value]
    if isinstance(value, frozenset):
        return sorted(value)
    if isinstance(value, Mapping):
        return {str(key): to_plain(each) for key, each in value.items()}
    return value


def from_plain(shape: type[Shape], plain: Plain) -> Shape:
    """A shape read back. What was not known yet when it was written takes its default; what is no longer
    known is left out. Raises KeyError, TypeError or ValueError for what is no such shape.
    """
    hints = _hints(shape)  # type: ignore[arg-type] # every type can be hashed
    known = {f.name: plain[f.name] for f in fields(shape) if f.name in plain}  # type: ignore[arg-type]
    return shape(**{name: _value(hints[name], said) for name, said in known.items()})


@cache
def _hints(shape: type[Any]) -> dict[str, Any]:
    return get_type_hints(shape)


def _value(hint: Any, said: Plain) -> Any:
    kind, inner = get_origin(hint), get_args(hint)
    if kind in (Union, UnionType):
        return None if said is None else _value(next(one for one in inner if one is not NoneType), said)
    if kind is tuple:
        return tuple(said) if inner[0] in _AS_WRITTEN else tuple(_value(inner[0], each) for each in said)
    if kind is frozenset:
        return frozenset(said)
    if kind is not None and isinstance(kind, type) and issubclass(kind, Mapping):
        return {inner[0](key): _value(inner[1], each) for key, each in said.items()}
    if isinstance(hint, type) and is_dataclass(hint):
        return from_plain(hint, said)
    return date.fromisoformat(said) if hint is date else said
