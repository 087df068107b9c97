"""What MicroPython 1.27 (the WebAssembly build that the phone carries) lacks or does differently.

Each row was found by running it in that build; tests/lowering checks that the rows are still true.
"""

from __future__ import annotations

ALLOWED_IMPORTS = ("math", "json")
"""Outside modules that an engine file may use at run time."""

DROPPED_IMPORTS = ("__future__", "typing", "collections.abc", "dataclasses")
"""Outside modules that serve the checker only, or that the lowering expands."""

MISSING_IN_MATH = (
    "hypot",
    "prod",
    "dist",
    "fsum",
    "sumprod",
    "cbrt",
    "exp2",
    "log1p",
    "comb",
    "gcd",
    "lcm",
    "perm",
    "isqrt",
    "ulp",
    "nextafter",
    "remainder",
    "fma",
)

MISSING_METHODS = (
    "removeprefix",
    "removesuffix",
    "isidentifier",
    "isprintable",
    "casefold",
    "title",
    "capitalize",
    "zfill",
    "ljust",
    "rjust",
    "swapcase",
    "istitle",
    "isalnum",
    "isdecimal",
    "isnumeric",
    "expandtabs",
    "format_map",
    "translate",
    "maketrans",
    "bit_length",
    "bit_count",
    "as_integer_ratio",
    "is_integer",
    "hex",
    "_replace",
    "_asdict",
)

MISSING_BUILTINS = ("ascii", "format", "vars", "ExceptionGroup", "BaseExceptionGroup", "aiter", "anext")

IMPURE_BUILTINS = ("open", "input", "print", "eval", "exec", "compile", "breakpoint", "id", "hash")
"""The engine takes facts and gives answers; these reach outside, or differ from run to run."""

NO_KEYWORDS = (
    "sum",
    "int",
    "float",
    "pow",
    "str",
    "range",
    "isinstance",
    "map",
    "filter",
    "abs",
    "iter",
    "next",
)
"""Builtins that take no keywords there."""

NO_KEYWORDS_METHODS = (
    "split",
    "rsplit",
    "splitlines",
    "replace",
    "encode",
    "pop",
    "index",
    "get",
    "setdefault",
)
"""Methods of builtin types that take no keywords there."""

ORDERLESS_VIEWS = ("items", "keys", "values")
ORDER_HIDDEN_BY = ("sorted", "set", "frozenset", "dict", "any", "all", "len", "min", "max", "sum")
"""Calls that give the same answer whatever the order of what they take."""

ALLOWED_DECORATORS = ("property", "staticmethod", "classmethod")
DROPPED_DECORATORS = ("final", "override", "runtime_checkable")
REFUSED_METHODS = (
    "__init_subclass__",
    "__class_getitem__",
    "__set_name__",
    "__new__",
    "__getattr__",
    "__setattr__",
)
