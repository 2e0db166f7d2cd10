"""Sheet engine: views, dimensions and tables laid out on a sheet, written as DXF, PDF, PNG and SVG.

The way through it:

1. `view.View` holds model geometry (from `projection`, or plain curves of `shapes`) and what is to be said
   about it: dimensions, notes, symbols. Points are model mm; where texts go is found at layout.
2. `sheet.Sheet` takes a `TitleBlock`, views, tables, notes, cautions and revisions, and the allowed sizes and scales.
3. `layout.lay_out` returns a `Drawn` sheet on which `sheet.overlaps` finds nothing, or raises `SheetFitError`.
4. `dxfout` writes it as DXF with `dxfdoc`, `render` as PDF and SVG with `pdf` and `svg`, which plots use too.

`shapes` is the one language of lines, arcs, texts and areas; `style`, `text`, `items`, `figures`, `dims`, `symbols`,
`fit` (one view) and `blocks` (title block, tables) stand between. Plain cut files without a sheet are
`exporters.files.cutfile`.
"""
