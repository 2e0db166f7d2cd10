"""Sheet engine: views, dimensions and tables laid out on a sheet, written as DXF and from the DXF as PDF, PNG
and SVG.
"""
