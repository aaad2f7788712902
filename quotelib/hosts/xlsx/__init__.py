"""The refresh of a workbook that is closed: its price sheet is replaced in the file itself, and every other byte stays.

archive      the zip: members read with limits, and written again as they were, packed bytes and all
markup       XML changed at places: everything around a change stays byte for byte
references   addresses within formulas and lists of ranges, and which of them follow the list
package      the parts, how they refer to each other, and what the workbook's own part says
cells        cells and rows as they lie in the XML, and new ones
sheet        the price sheet: what stands there, what is in the way, and its rows made anew
covering     tables of the user's that cover the list
elsewhere    what in the rest of the workbook refers to prices by address
refresh      all of it together
"""
