"""Build the Calc add-in, quoting-functions.oxt, from the registry.

The add-in is a zip file of these things: a manifest, a description, the functions' interface (.idl), their help for Calc's
function wizard and a menu entry (.xcu), a few lines of Python that LibreOffice loads, and the modules of this package that
a cell or the menu entry can reach.
Nothing is compiled.  The same sources give the same bytes on any machine.
"""

import ast
import io
import subprocess
import sys
import zipfile
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape, quoteattr

import quotelib
from quotelib.docstrings import ArgumentHelp, help_of
from quotelib.hosts.calc import EXTENSION, INTERFACE, SERVICE, gives_text, uno_name
from quotelib.hosts.calc.menu import COMMAND, HANDLER, PROTOCOL
from quotelib.hosts.calc.office import OLDEST_OFFICE
from quotelib.hosts.calc.refresh import LABEL
from quotelib.registry import FUNCTIONS, SheetFunction

FILE_NAME = "quoting-functions.oxt"
"""What the add-in's file is called."""

OLDEST_PYTHON = (3, 10)
"""LibreOffice brings its own Python on Windows and macOS, and an older one than this package asks for elsewhere."""

STARTER = '''\
"""What LibreOffice loads: the quoting functions, from the package beside this file."""

import os
import sys

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "pythonpath"))

from quotelib.hosts.calc.component import factory

g_ImplementationHelper = factory()
'''

REACHED = """\
import sys
sys.path.insert(0, sys.argv[1])
import quotelib.hosts.calc.component
# Imported by chapters at their first call:
import quotelib.cases, quotelib.uncertain, quotelib.floorplan, quotelib.afterwards.against_quote, quotelib.stages
print(*sorted(name for name in sys.modules if name.split(".")[0] == "quotelib"))
"""
"""Prints the modules that a cell can reach, in a Python that sees the standard library alone."""


def addin() -> bytes:
    """The add-in, as the bytes of its file."""
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_STORED) as archive:
        for name, text in sorted(members().items()):
            entry = zipfile.ZipInfo(name, date_time=(1980, 1, 1, 0, 0, 0))
            entry.create_system = 3
            entry.external_attr = 0o644 << 16
            archive.writestr(entry, text.encode("utf-8"))
    return file.getvalue()


def members() -> dict[str, str]:
    """Every file inside the add-in, by its name."""
    return {
        "META-INF/manifest.xml": _manifest(),
        "description.xml": _description(),
        "quoting.idl": interface(),
        "CalcAddIns.xcu": wizard_help(),
        "Addons.xcu": menu_entry(),
        "ProtocolHandler.xcu": entry_handler(),
        "quoting_functions.py": STARTER,
        **{f"pythonpath/{name}": text for name, text in bundled_modules().items()},
    }


def bundled_modules() -> dict[str, str]:
    """The modules of this package that a cell can reach, by the names of their files."""
    root = Path(quotelib.__file__).parents[1]
    listing = subprocess.run(
        [sys.executable, "-S", "-I", "-B", "-c", REACHED, str(root)], capture_output=True, text=True, check=False
    )
    if listing.returncode:
        raise RuntimeError("what a cell can call must need the standard library alone, and does not:\n" + listing.stderr)
    modules = {}
    for module in listing.stdout.split():
        file = root.joinpath(*module.split("."))
        file = file / "__init__.py" if file.is_dir() else file.with_suffix(".py")
        text = file.read_text(encoding="utf-8")
        ast.parse(text, str(file), feature_version=OLDEST_PYTHON)
        modules[file.relative_to(root).as_posix()] = text
    return modules


def interface() -> str:
    """The functions' interface, in LibreOffice's interface language: every argument may be left out, or be a range."""
    module, name = INTERFACE.split(".")
    methods = (
        f"    {'any' if gives_text(function) else 'sequence< sequence<any> >'} {method}({_parameters(function)});\n"
        for method, function in FUNCTIONS.items()
    )
    return f"module {module} {{\n  interface {name} {{\n{''.join(methods)}  }};\n}};\n"


def _parameters(function: SheetFunction[..., Any]) -> str:
    return ", ".join(
        f"[in] {'sequence<any>' if argument.repeats else 'any'} {uno_name(argument.name)}"
        for argument in function.arguments
    )


def wizard_help() -> str:
    """What Calc's function wizard shows, and the plain names under which .xlsx files keep the functions."""
    functions = "".join(
        f'<node oor:name="{name}" oor:op="replace">\n{_function_help(function)}</node>\n'
        for name, function in FUNCTIONS.items()
    )
    return _configuration(
        "CalcAddIns",
        f"""\
<node oor:name="AddInInfo">
<node oor:name="{SERVICE}" oor:op="replace">
<node oor:name="AddInFunctions">
{functions}</node>
</node>
</node>
""",
    )


def menu_entry() -> str:
    """The entry in the menu Tools > Add-Ons, in Calc alone."""
    spreadsheets = "com.sun.star.sheet.SpreadsheetDocument"
    return _configuration(
        "Addons",
        f"""\
<node oor:name="AddonUI">
<node oor:name="AddonMenu">
<node oor:name="{HANDLER}" oor:op="replace">
<prop oor:name="Context" oor:type="xs:string"><value>{spreadsheets}</value></prop>
<prop oor:name="URL" oor:type="xs:string"><value>{COMMAND}</value></prop>
<prop oor:name="Target" oor:type="xs:string"><value>_self</value></prop>
<prop oor:name="Title" oor:type="xs:string"><value xml:lang="en">{LABEL}</value></prop>
</node>
</node>
</node>
""",
    )


def entry_handler() -> str:
    """Which of our classes the entry's command goes to."""
    return _configuration(
        "ProtocolHandler",
        f"""\
<node oor:name="HandlerSet">
<node oor:name="{HANDLER}" oor:op="replace">
<prop oor:name="Protocols" oor:type="oor:string-list"><value>{PROTOCOL}*</value></prop>
</node>
</node>
""",
    )


def _configuration(name: str, nodes: str) -> str:
    """A part of LibreOffice's configuration."""
    return f"""\
<?xml version="1.0" encoding="UTF-8"?>
<oor:component-data oor:name="{name}" oor:package="org.openoffice.Office"
                    xmlns:oor="http://openoffice.org/2001/registry" xmlns:xs="http://www.w3.org/2001/XMLSchema">
{nodes}</oor:component-data>
"""


def _function_help(function: SheetFunction[..., Any]) -> str:
    words = help_of(function)
    parameters = "".join(
        f'<node oor:name="{uno_name(argument.name)}" oor:op="replace">\n'
        + _property("DisplayName", argument.name)
        + _property("Description", argument_help(words.arguments[argument.name]))
        + "</node>\n"
        for argument in function.arguments
    )
    return (
        _property("DisplayName", function.cell_name)
        + _property("Description", f"{function.chapter}: {words.summary}")
        + _property("CompatibilityName", function.cell_name, language="en-US")
        + '<prop oor:name="Category"><value>Add-In</value></prop>\n'
        + f'<node oor:name="Parameters">\n{parameters}</node>\n'
    )


def argument_help(argument: ArgumentHelp) -> str:
    """What the wizard says of one argument: its meaning, then what is allowed."""
    return f"{argument.meaning} ({argument.allowed})"


def _property(name: str, text: str, language: str = "en") -> str:
    return f'<prop oor:name="{name}"><value xml:lang="{language}">{escape(text)}</value></prop>\n'


def _manifest() -> str:
    kinds = {
        "quoting.idl": "application/vnd.sun.star.uno-typelibrary;type=RDB",
        "quoting_functions.py": "application/vnd.sun.star.uno-component;type=Python",
        **dict.fromkeys(
            ("CalcAddIns.xcu", "Addons.xcu", "ProtocolHandler.xcu"), "application/vnd.sun.star.configuration-data"
        ),
    }
    entries = "".join(
        f'<manifest:file-entry manifest:full-path="{name}" manifest:media-type="{kind}"/>\n' for name, kind in kinds.items()
    )
    return f"""\
<?xml version="1.0" encoding="UTF-8"?>
<manifest:manifest xmlns:manifest="http://openoffice.org/2001/manifest">
{entries}</manifest:manifest>
"""


def _description() -> str:
    oldest = ".".join(map(str, OLDEST_OFFICE))
    return f"""\
<?xml version="1.0" encoding="UTF-8"?>
<description xmlns="http://openoffice.org/extensions/description/2006" xmlns:lo="http://libreoffice.org/extensions/description/2011">
<identifier value="{EXTENSION}"/>
<version value={quoteattr(quotelib.__version__)}/>
<display-name><name lang="en">Quoting functions for decorated hard goods</name></display-name>
<dependencies><lo:LibreOffice-minimal-version value="{oldest}" name="LibreOffice {oldest}"/></dependencies>
</description>
"""
