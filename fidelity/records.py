"""Make frozen records in less time than the standard library takes: start reading at ``dataclass``.

Arrives: a class that names its fields. Leaves: the same class as a frozen record. The standard
decorator writes and compiles six functions for each class when its module is imported; with the
sixty classes that two compared texts need, that took as long as comparing them. Here the functions
are shared, and the one that must be written for its class, ``__init__``, is written when the first
record is made. Fields, equality, order of arguments and ``dataclasses.replace`` are the standard
library's; what is not a plain frozen record is left to it altogether.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from dataclasses import MISSING, FrozenInstanceError
from operator import attrgetter, ge, gt, le, lt
from reprlib import recursive_repr
from typing import TYPE_CHECKING, Any, NoReturn

__all__ = ["dataclass"]


def _record(
    cls: type | None = None, /, *, frozen: bool = False, eq: bool = True, order: bool = False, **more: bool
) -> Any:
    """Make a class a record, as ``dataclasses.dataclass`` does.

    >>> from dataclasses import replace
    >>> @dataclass(frozen=True)
    ... class Slip:
    ...     "A letter taken for another."
    ...     original: str
    ...     copy: str = "n"
    >>> replace(Slip("r"), copy="s"), Slip("r") == Slip("r", "n")
    (Slip(original='r', copy='s'), True)
    """

    def decorate(cls: type) -> type:
        plain = cls.__bases__ == (object,) and not hasattr(cls, "__post_init__")
        if not (plain and frozen) or more:
            return dataclasses.dataclass(frozen=frozen, eq=eq, order=order, **more)(cls)
        return _frozen(dataclasses.dataclass(init=False, repr=False, eq=False)(cls), eq, order)

    return decorate if cls is None else decorate(cls)


if TYPE_CHECKING:  # type checkers know the standard decorator only
    from dataclasses import dataclass
else:
    dataclass = _record


def _frozen(cls: Any, eq: bool, order: bool) -> type:
    """Give a class, whose fields are known, what a frozen record has."""
    cls.__dataclass_params__.frozen = True
    cls.__dataclass_params__.eq = eq
    cls.__dataclass_params__.order = order
    methods: dict[str, object] = {"__init__": _Init(cls), "__repr__": _repr}
    values = attrgetter(*(field.name for field in dataclasses.fields(cls) if field.compare))
    if eq:
        methods |= _comparing(values)
    if order:
        methods |= {f"__{one.__name__}__": _ordering(values, one) for one in (lt, le, gt, ge)}
    for name, method in methods.items():
        if name not in vars(cls) or (name == "__hash__" and vars(cls)[name] is None):
            setattr(cls, name, method)
    cls.__setattr__, cls.__delattr__ = _no_setting, _no_deleting
    return cls  # type: ignore[no-any-return]


class _Factory:
    """Stands in a signature for a value that is made anew for each record."""

    def __repr__(self) -> str:
        return "<factory>"


_FACTORY = _Factory()


class _Init:
    """Stands for the ``__init__`` of a class until the first record is made."""

    def __init__(self, cls: Any) -> None:
        self.cls = cls

    def __get__(self, record: object, _: type | None = None) -> Callable[..., None]:
        self.cls.__init__ = made = _written_init(self.cls)
        return made if record is None else made.__get__(record)  # type: ignore[no-any-return]


def _written_init(cls: Any) -> Any:
    """Write and compile the function that fills a record's fields."""
    names: dict[str, object] = {"_set": object.__setattr__, "_FACTORY": _FACTORY}
    parameters, lines = [], []
    for field in dataclasses.fields(cls):
        name = value = field.name
        if field.default is not MISSING:
            names[f"_default_{name}"] = field.default
            parameters.append(f"{name}=_default_{name}")
        elif field.default_factory is not MISSING:
            names[f"_default_{name}"] = field.default_factory
            parameters.append(f"{name}=_FACTORY")
            value = f"_default_{name}() if {name} is _FACTORY else {name}"
        else:
            parameters.append(name)
        lines.append(f"    _set(self, {name!r}, {value})")
    source = "\n".join([f"def __init__(self, {', '.join(parameters)}):", *lines])
    exec(source, names)  # noqa: S102  made of names of fields alone, as the standard library does it
    made: Any = names["__init__"]
    made.__qualname__, made.__module__ = f"{cls.__qualname__}.__init__", cls.__module__
    made.__annotations__ = {field.name: field.type for field in dataclasses.fields(cls)} | {"return": None}
    return made


def _comparing(values: Callable[[object], object]) -> dict[str, object]:
    """Give the functions by which records of one class are equal where these values of them are."""

    def equal(self: object, other: object) -> bool:
        return values(self) == values(other) if other.__class__ is self.__class__ else NotImplemented

    def hashed(self: object) -> int:
        return hash(values(self))

    return {"__eq__": equal, "__hash__": hashed}


def _ordering(values: Callable[[object], object], compare: Callable[[Any, Any], bool]) -> object:
    """Give the function that compares records of one class by these values of them."""

    def compared(self: object, other: object) -> bool:
        return compare(values(self), values(other)) if other.__class__ is self.__class__ else NotImplemented

    return compared


@recursive_repr()
def _repr(self: Any) -> str:
    """Show a record with its fields by name."""
    shown = (field.name for field in dataclasses.fields(self) if field.repr)
    return f"{self.__class__.__qualname__}({', '.join(f'{name}={getattr(self, name)!r}' for name in shown)})"


def _no_setting(_: object, name: str, value: object) -> NoReturn:
    """Refuse to change a field: records are frozen."""
    del value
    raise FrozenInstanceError(f"cannot assign to field {name!r}")


def _no_deleting(_: object, name: str) -> NoReturn:
    """Refuse to take a field away: records are frozen."""
    raise FrozenInstanceError(f"cannot delete field {name!r}")
