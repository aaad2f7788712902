"""Microsoft Excel on Windows: the functions in its cells, through xlwings.

    build.py     writes quoting.py, the module that Excel loads: one function for each of the library's, and a macro
    cells.py     what a cell hands over and gets back: values, blanks, ranges, errors; every function in quoting.py calls it
    wrappers.py  has xlwings write VBA that ends in error values
    refresh.py   the price sheet of an open workbook, refreshed by a button
    vba.py       the VBA project inside quoting.xlsm

How a call goes: the cell calls a VBA function of the workbook, which xlwings wrote when Import Functions was pressed; that
calls Python, which Excel keeps running in the background; quoting.py passes the call on to the library.

**How an error becomes an error value.**  A refused call must show #VALUE!, #NUM! or #N/A, so that IFERROR catches it and a
total over it is an error too.  Python cannot hand over such a value by itself.  pywin32 (oleargs.cpp, read up to build 312)
makes "argument left out" of `VARIANT(VT_ERROR, code)`, whatever the code; that it does not work was reported too (xlwings
issue 776).  xlwings shows the words of an exception as text, which a SUM passes over.  VBA has a way: CVErr.  So a refusal
leaves Python as the whole number that Excel itself uses for the error (-2146826252 for #NUM!), every other number as a
floating-point number, and a few lines of VBA, added to what xlwings writes, make error values of whole numbers.  Where the
call to Python itself fails, the cell shows #VALUE!.

**None of this was run in Excel**; there was none at hand.  xlwings' own code was run against stand-ins for Windows
(tests/simulated_windows.py), and the added VBA was run in LibreOffice, whose Basic is close to VBA and not the same.
"""
