"""The refresh of a workbook that is closed: its price sheet is replaced in the file itself, and every other byte stays.

archive      the zip: members read with limits, and written again as they were, packed bytes and all
package      the parts, how they refer to each other, and what the workbook's own part says
markup       XML changed at places: everything around a change stays byte for byte
references   addresses within formulas and lists of ranges, and which of them follow the list
sheet        the price sheet: what stands there, what is in the way, and its rows made anew
elsewhere    what in the rest of the workbook refers to the list by address
refresh      all of it together
"""
