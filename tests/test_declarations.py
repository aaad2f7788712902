"""What holds for every declared function: its docstring says what its signature says, and its names can live in a cell."""

import inspect
import re
from itertools import pairwise
from pathlib import Path

import pytest

import quotelib
from quotelib.docstrings import SECTIONS, help_of
from quotelib.kinds import Kind, NumberKind
from quotelib.registry import FUNCTIONS, Argument, SheetFunction
from tests.strategies import WHOLE_JOBS

LONGEST_HELP = 255
"""Excel's function wizard cuts a help text here."""

BUILT_IN = {
    name
    for name in (Path(__file__).parent / "builtin_functions.txt").read_text(encoding="utf-8").split("\n")
    if name and not name.startswith("#")
}

VBA_RESERVED = frozenset(
    re.findall(
        r"\w+",
        """
    call case close const declare defbool defbyte defcur defdate defdbl defint deflng deflnglng deflngptr defobj defsng
    defstr defvar dim do else elseif end endif enum erase event exit for friend function get global gosub goto if
    implements input let lock loop lset next on open option print private public put raiseevent redim resume return rset
    seek select set static stop sub type unlock wend while with write
    any as byref byval each in new shared until withevents optional paramarray preserve spc tab then to
    addressof and eqv imp is like mod not or typeof xor
    abs cbool cbyte ccur cdate cdbl cdec cint clng clnglng clngptr csng cstr cvar cverr date debug doevents fix int len
    lenb me pset scale sgn string
    array circle inputb lbound ubound
    boolean byte currency double integer long longlong longptr single variant
    true false nothing empty null rem attribute lineinput cdecl decimal defdec
    access alias append base binary compare error explicit lib line name object output property random read reset step
    text width
    """,
    )
)
"""The reserved identifiers of the VBA language specification (MS-VBAL 3.3.5.2) and, in the last two lines, words with a
meaning in some statements only, kept out to be safe."""

every_function = pytest.mark.parametrize("function", FUNCTIONS.values(), ids=FUNCTIONS)


def told_range(kind: Kind) -> str:
    """What is allowed and the unit, as the docstring must say it: `0 to 1 [fraction]`."""
    return kind.allowed + (f" [{kind.unit}]" if kind.unit else "")


def told_default(argument: Argument) -> str | None:
    """How the docstring must end for an argument that may be left out; None where it may use words of its own.

    TRUE, FALSE, a word, or the number as ranges write it (1e6); `no limit` where that is an upper end put in for safety.
    """
    default, kind = argument.default, argument.kind
    if argument.required or argument.repeats:
        return ""
    if default is None:
        return None
    if isinstance(default, bool):
        shown = str(default).upper()
    elif isinstance(kind, NumberKind) and default == kind.most >= 1e5:
        shown = "no limit"
    elif isinstance(default, str):
        shown = default
    else:
        shown = re.sub(r"^([1-9])(0{5,})$", lambda found: f"{found[1]}e{len(found[2])}", f"{default:.12g}")
    return f", {shown} if left out"


def first_sentence(text: str) -> str:
    return re.split(r"(?<=[.!?])\s", text, maxsplit=1)[0]


@every_function
def test_docstring_has_its_sections_in_order(function: SheetFunction[..., object]) -> None:
    lines = inspect.cleandoc(function.__doc__ or "").split("\n")
    found = [line for line, rule in pairwise(lines) if rule and set(rule) == {"-"}]
    wanted = ["Parameters"] * bool(function.arguments) + ["Returns", "References", "Examples"]
    assert [section for section in found if section in wanted] == wanted
    assert found == [section for section in SECTIONS if section in found], "a section is unknown, repeated or out of order"
    helped = help_of(function)
    assert helped.summary and helped.returns and helped.source
    call, result = helped.example
    if function.cell_name in WHOLE_JOBS:  # a whole job is too long for an example
        assert helped.examples
    else:
        assert call.startswith(f"{function.__name__}(") and result, helped.example
    assert helped.summary.endswith(".")


@every_function
def test_docstring_names_the_arguments_in_order(function: SheetFunction[..., object]) -> None:
    names = list(help_of(function).arguments)
    assert names == [argument.name for argument in function.arguments]
    assert names == list(inspect.signature(function.body).parameters)


@every_function
def test_docstring_says_what_is_allowed(function: SheetFunction[..., object]) -> None:
    told = help_of(function).arguments
    for argument in function.arguments:
        words, ending = told_range(argument.kind), told_default(argument)
        allowed = told[argument.name].allowed
        if ending is None:
            assert re.fullmatch(re.escape(words) + ", .+ if left out", allowed), f"{argument.name} : {allowed}"
        else:
            assert allowed == words + ending, argument.name


@every_function
def test_docstring_names_the_kind_of_result(function: SheetFunction[..., object]) -> None:
    result = function.result
    heading = inspect.cleandoc(function.__doc__ or "").split("Returns\n-------\n")[1].split("\n")[0]
    assert heading == result.name + (f" [{result.unit}]" if result.unit else "")


@every_function
def test_help_fits_the_function_wizard(function: SheetFunction[..., object]) -> None:
    helped = help_of(function)
    assert len(helped.summary) <= LONGEST_HELP
    for name, argument in helped.arguments.items():
        assert argument.meaning, f"{name} has no help"
        assert len(first_sentence(argument.meaning)) <= LONGEST_HELP, name


@every_function
def test_default_is_itself_allowed(function: SheetFunction[..., object]) -> None:
    for argument in function.arguments:
        if argument.default is not None:
            assert argument.kind.admit(argument.name, argument.default) == argument.default


@every_function
def test_cell_name(function: SheetFunction[..., object]) -> None:
    name = function.cell_name
    assert name == function.__name__.upper()
    assert re.fullmatch(r"[A-Z][A-Z0-9_]*", name)
    assert not re.fullmatch(r"[A-Z]{1,3}[0-9]+", name), "it reads as a cell address"
    assert not re.fullmatch(r"R[0-9]*(C[0-9]*)?|C[0-9]*", name), "it reads as a cell address in R1C1 style"
    assert name not in BUILT_IN, "it is a built-in function of Excel or Calc"


@every_function
def test_argument_names(function: SheetFunction[..., object]) -> None:
    for argument in function.arguments:
        assert argument.name not in VBA_RESERVED, f"{argument.name} is a word of VBA"
        assert argument.name != "caller", "xlwings fills in an argument of that name"
        assert re.fullmatch(r"[a-z][a-z0-9_]*", argument.name)


@every_function
def test_signature_suits_every_host(function: SheetFunction[..., object]) -> None:
    parameters = inspect.signature(function.body).parameters.values()
    kinds = [parameter.kind for parameter in parameters]
    assert inspect.Parameter.KEYWORD_ONLY not in kinds
    assert inspect.Parameter.VAR_KEYWORD not in kinds
    if inspect.Parameter.VAR_POSITIONAL in kinds:
        assert all(parameter.default is parameter.empty for parameter in parameters), "optional and repeated arguments"


@every_function
def test_function_is_an_attribute_of_the_package(function: SheetFunction[..., object]) -> None:
    assert getattr(quotelib, function.__name__) is function
    assert function.__name__ in dir(quotelib)


def test_no_other_attribute_is_made_up() -> None:
    with pytest.raises(AttributeError, match="quotelib has no function 'setup_per_unicorn'"):
        _ = quotelib.setup_per_unicorn
    with pytest.raises(AttributeError):
        _ = quotelib.SETUP_PER_UNIT


def test_every_chapter_declares_functions_under_one_name() -> None:
    chapters = {function.__module__: function.chapter for function in FUNCTIONS.values()}
    assert set(chapters) == {f"quotelib.chapters.{module}" for module in quotelib.CHAPTERS}
    for function in FUNCTIONS.values():
        assert function.chapter == chapters[function.__module__], f"{function.cell_name} strays from its module's chapter"
    assert len(set(chapters.values())) == len(chapters), "two modules share the name of a chapter"


def test_the_built_in_names_are_all_there() -> None:
    assert {"SUM", "PRICE", "YIELD", "XLOOKUP", "ROT13", "CUBEVALUE", "EASTERSUNDAY"} <= BUILT_IN
    assert len(BUILT_IN) > 550
