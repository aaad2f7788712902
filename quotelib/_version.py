"""The library's version, stated once: the package, the Calc add-in and LIBRARY_VERSION read it here."""

__version__ = "0.1.0"
