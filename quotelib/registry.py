"""One declaration for each function: where it is written, it is declared, and everything else is made from that.

    @sheet_function("Setup")
    def setup_per_unit(setup_cost: Money, good_pieces: Pieces, runs: Runs = 1) -> Money:
        '''Share of a setup cost carried by each good piece.  ...'''
        return setup_cost / (good_pieces * runs)

The decorated name is then
  * a Python function that checks its arguments (kinds.py) before the body runs, on floats or on numpy arrays;
  * the cell function SETUP_PER_UNIT in Calc and in Excel, with its help (hosts/);
  * a formula, when an argument is a cell not yet worked out (formula.py).
"""

import inspect
import math
from collections.abc import Callable
from typing import Annotated, Any, Generic, NamedTuple, ParamSpec, TypeVar, get_args

from quotelib.errors import NoSolution, QuoteError, TypeInputError
from quotelib.formula import Call, Formula
from quotelib.kinds import Kind, NumberKind

Given = ParamSpec("Given")
Result = TypeVar("Result")

FUNCTIONS: "dict[str, SheetFunction[..., Any]]" = {}
"""Every function by its cell name, in the order of declaration."""

_REQUIRED = object()


class Argument(NamedTuple):
    """One argument of a function."""

    name: str
    kind: Kind
    required: bool
    default: Any
    repeats: bool = False
    """Whether this last argument may be given any number of times (`*arguments`)."""


class SheetFunction(Generic[Given, Result]):
    """A function of the library with its declaration.  Calling it checks the arguments, then runs the body."""

    def __init__(self, body: Callable[Given, Result], chapter: str, one_by_one: bool) -> None:
        self.body = body
        self.chapter = chapter
        self.one_by_one = one_by_one
        self.__name__: str = body.__name__
        self.__qualname__: str = body.__qualname__
        self.__module__ = body.__module__
        self.__doc__ = body.__doc__
        self.__wrapped__ = body
        self.cell_name = body.__name__.upper()
        self.arguments = _arguments(body)
        self.result: Kind = _kind(body, "return")
        self.repeats = bool(self.arguments) and self.arguments[-1].repeats
        self._checks = [
            (argument.name, argument.kind.admit, argument.required, argument.default) for argument in self.arguments
        ]

    def __repr__(self) -> str:
        return f"<{self.cell_name}({', '.join(argument.name for argument in self.arguments)})>"

    def __call__(self, *args: Given.args, **kwargs: Given.kwargs) -> Result:
        if self.repeats:
            return self._call_repeating(args)  # type: ignore[no-any-return]
        given = self._in_order(args, kwargs) if kwargs or len(args) != len(self._checks) else args
        admitted = []
        arrays = False
        for value, (name, admit, required, default) in zip(given, self._checks, strict=True):
            if type(value) is float:
                admitted.append(admit(name, value))
            elif value is None and not required:
                admitted.append(default)
            elif isinstance(value, Formula):
                return Call(self.cell_name, self, _without_trailing_none(given))  # type: ignore[return-value]
            elif hasattr(value, "__array__") and getattr(value, "ndim", None):
                arrays = True
                break
            else:
                admitted.append(admit(name, value))
        if arrays:
            from quotelib.arrays import call_on_arrays

            return call_on_arrays(self, given)  # type: ignore[no-any-return]
        return self.run(*admitted)  # type: ignore[no-any-return]

    def run(self, *admitted: Any) -> Any:
        """The body on arguments already admitted; a count comes back as an int, and never an infinity or NaN."""
        try:
            result = self.body(*admitted)  # type: ignore[call-arg]
            if isinstance(self.result, NumberKind):
                if self.result.whole:
                    return int(result)  # type: ignore[call-overload]
                if not math.isfinite(result):  # type: ignore[arg-type]
                    raise OverflowError
        except (OverflowError, ZeroDivisionError):
            raise NoSolution(self.cell_name, "too large to state", "use smaller inputs") from None
        return result

    def _call_repeating(self, args: tuple[Any, ...]) -> Any:
        """A call whose last argument may be given any number of times."""
        if any(isinstance(value, Formula) for value in args):
            return Call(self.cell_name, self, args)
        checks = self._checks[:-1] + self._checks[-1:] * (len(args) - len(self._checks) + 1)
        if len(args) < len(self._checks) - 1:
            raise TypeInputError(self.cell_name, f"{len(args)} arguments", f"it needs {len(self._checks) - 1} at least")
        return self.run(*(admit(name, value) for value, (name, admit, _, _) in zip(args, checks, strict=True)))

    def _in_order(self, args: tuple[Any, ...], kwargs: dict[str, Any]) -> tuple[Any, ...]:
        """The arguments in declared order, None for those left out."""
        names = [argument.name for argument in self.arguments]
        if len(args) > len(names):
            raise TypeInputError(
                self.cell_name, f"{len(args)} arguments", f"it takes {len(names)} at most: {', '.join(names)}"
            )
        given = dict(zip(names, args, strict=False))
        for name, value in kwargs.items():
            if name not in names or name in given:
                raise TypeInputError(self.cell_name, name, f"its arguments, each given once, are {', '.join(names)}")
            given[name] = value
        return tuple(given.get(name) for name in names)


def sheet_function(
    chapter: str, *, one_by_one: bool = False
) -> Callable[[Callable[Given, Result]], SheetFunction[Given, Result]]:
    """Declare a function of the library.

    Parameters
    ----------
    chapter : str
        The chapter of the trade it belongs to; the category in the spreadsheet's function list.
    one_by_one : bool
        True where the body has to branch or loop, so that an array is worked through element by element.
    """

    def declare(body: Callable[Given, Result]) -> SheetFunction[Given, Result]:
        function = SheetFunction(body, chapter, one_by_one)
        if function.cell_name in FUNCTIONS:
            raise QuoteError(function.cell_name, "declared", "it must be declared once")
        FUNCTIONS[function.cell_name] = function
        return function

    return declare


def _arguments(body: Callable[..., Any]) -> tuple[Argument, ...]:
    code = body.__code__
    names = code.co_varnames[: code.co_argcount]
    defaults = body.__defaults__ or ()
    padded = (_REQUIRED,) * (len(names) - len(defaults)) + tuple(defaults)
    arguments = [
        Argument(name, _kind(body, name), default is _REQUIRED, None if default is _REQUIRED else default)
        for name, default in zip(names, padded, strict=True)
    ]
    if code.co_flags & inspect.CO_VARARGS:
        name = code.co_varnames[code.co_argcount + code.co_kwonlyargcount]
        arguments.append(Argument(name, _kind(body, name), False, None, repeats=True))
    return tuple(arguments)


def _kind(body: Callable[..., Any], name: str) -> Kind:
    annotation = body.__annotations__[name]
    if not isinstance(annotation, type(Annotated[int, 0])):
        raise TypeInputError(f"{body.__name__}: {name}", annotation, "it must be annotated with a kind")
    kind = get_args(annotation)[1]
    assert isinstance(kind, Kind)
    return kind


def _without_trailing_none(given: tuple[Any, ...]) -> tuple[Any, ...]:
    end = len(given)
    while end and given[end - 1] is None:
        end -= 1
    return given[:end]
