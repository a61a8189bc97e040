"""Pictures of numbers: what to draw, said as data, and drawn to SVG by a vendored Apache ECharts.

They are drawn on the server, so page, print, PDF and e-mail show one picture, and none needs a
script. Beside every picture stands a table of the same numbers.
"""
