"""How the cells of a workbook look."""

from xlsxwriter import Workbook
from xlsxwriter.format import Format

HEAD = 3  # the line of headings of a table


class Looks:
    """How cells look: words, headings, and numbers at some decimals."""

    def __init__(self, workbook: Workbook) -> None:
        self._workbook = workbook
        self._numbers: dict[int, Format] = {}
        self.heading = workbook.add_format(
            {"bold": True, "bottom": 1, "text_wrap": True, "valign": "bottom"}
        )
        self.over_numbers = workbook.add_format(
            {"bold": True, "bottom": 1, "text_wrap": True, "valign": "bottom", "align": "right"}
        )
        self.title = workbook.add_format({"bold": True, "font_size": 14})
        self.words = workbook.add_format({"valign": "top"})
        left = {"valign": "top", "align": "left"}
        self.said = workbook.add_format(left)
        self.day = workbook.add_format({**left, "num_format": "d mmm yyyy"})
        self.moment = workbook.add_format({**left, "num_format": "d mmm yyyy hh:mm"})
        self.sentence = workbook.add_format({"valign": "top", "text_wrap": True})
        self.verdict = workbook.add_format({"valign": "top", "indent": 1})
        self.over_verdicts = workbook.add_format(
            {"bold": True, "bottom": 1, "text_wrap": True, "valign": "bottom", "indent": 1}
        )
        self.lacks = workbook.add_format(
            {"italic": True, "font_color": "#575E54", "align": "right", "valign": "top"}
        )

    def number(self, decimals: int) -> Format:
        """Return how a number looks at so many decimals, thousands apart."""
        if decimals not in self._numbers:
            shown = "#,##0" + (f".{'0' * decimals}" if decimals else "")
            self._numbers[decimals] = self._workbook.add_format(
                {"num_format": shown, "valign": "top"}
            )
        return self._numbers[decimals]
